// The emulated controller, a process of its own, as a TimedStream with a person beside it (emulator/PROTOCOL.md).
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "emulator/protocol.h"
#include "link/timed_stream.h"
#include "os/child_process.h"
#include "plant/plant.h"

namespace ringout::reach {

struct EmulatorCommand {
  std::string program;  // ringout-emulated
  std::string robot;
  std::vector<std::string> catalogue;
  std::optional<std::string> deviations;
  std::string firmware;
  std::string eeprom;  // file; empty: not kept
};

struct EmulatorCounters {
  std::uint32_t resets = 0;
  std::uint32_t watchdog_resets = 0;
  std::uint32_t receive_overruns = 0;
  std::uint32_t crashes = 0;
};

class EmulatedStream final : public link::TimedStream, public plant::Bystander {
 public:
  [[nodiscard]] static Result<std::unique_ptr<EmulatedStream>> start(const EmulatorCommand& command, std::string name);
  ~EmulatedStream() override;  // saves the EEPROM and ends the process

  Instant now() const override { return now_; }
  Result<void> write(std::span<const std::uint8_t> bytes) override;
  link::StreamEvent wait_until(Instant deadline) override;
  link::StreamKind kind() const override { return link::StreamKind::simulated; }
  std::string name() const override { return name_; }

  Result<void> work_by_hand(const std::string& input, bool on) override;
  Result<void> open_disconnect(bool open) override;
  Result<void> reset_breaker(const std::string& breaker) override;
  Result<std::vector<plant::Seen>> look() override;

  // For tests and records only.
  [[nodiscard]] Result<plant::Truth> truth();
  [[nodiscard]] Result<EmulatorCounters> counters();
  [[nodiscard]] Result<void> reset();
  [[nodiscard]] Result<void> cut_power(Duration length);
  [[nodiscard]] Result<void> save_eeprom();

 private:
  EmulatedStream(os::ChildProcess child, std::string name) : child_(std::move(child)), name_(std::move(name)) {}
  // The reply's fields; `work` is the virtual time that it takes the emulation to get there.
  [[nodiscard]] Result<std::vector<std::uint8_t>> ask(emulator::MessageWriter message, Duration work = {});
  [[nodiscard]] Result<void> tell(emulator::MessageWriter message);

  os::ChildProcess child_;
  std::string name_;
  Instant now_;
  bool broken_ = false;
};

}  // namespace ringout::reach
