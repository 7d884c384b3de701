// The twin as a TimedStream.
#pragma once

#include <memory>
#include <string>

#include "link/timed_stream.h"
#include "twin/twin.h"

namespace ringout::reach {

class TwinStream final : public link::TimedStream {
 public:
  // The EEPROM's image is kept in `eeprom_path` when the stream ends; empty: nowhere.
  TwinStream(std::unique_ptr<twin::Twin> twin, std::string name, std::string eeprom_path);
  ~TwinStream() override;

  Instant now() const override { return twin_->now(); }
  Result<void> write(std::span<const std::uint8_t> bytes) override;
  link::StreamEvent wait_until(Instant deadline) override;
  link::StreamKind kind() const override { return link::StreamKind::simulated; }
  std::string name() const override { return name_; }
  [[nodiscard]] twin::Twin& twin() { return *twin_; }

 private:
  std::unique_ptr<twin::Twin> twin_;
  std::string name_;
  std::string eeprom_path_;
  std::vector<std::uint8_t> eeprom_before_;
};

}  // namespace ringout::reach
