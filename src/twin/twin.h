// The twin: the robot of a robot file in virtual time, with the agent that ships on the controller and, where there is
// one, the team's program in a process of its own. Bytes go in and come out at the line's rate. Pins are coupled once a
// millisecond, when the agent's tick runs: what a tick or a stop asks of a bridge acts from the next millisecond on.
// Same robot, deviations, options and bytes at the same times give the same run.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/instant.h"
#include "plant/bystander.h"
#include "plant/plant.h"
#include "robot/robot.h"
#include "twin/host_board.h"
#include "wire/codes.h"

namespace ringout::twin {

// What the simulated controller's firmware was built from: its own account, which may differ from the robot file's.
struct TwinFirmware {
  struct Name {
    std::string name;
    wire::PointKind kind = wire::PointKind::bridge_motor;
  };
  std::uint8_t major = 0;
  std::uint8_t minor = 1;
  std::uint8_t patch = 0;
  std::uint32_t board_fp = 0;
  std::uint32_t program_fp = 0;
  std::vector<Name> names;
};

// Firmware built against this robot file's names.
[[nodiscard]] TwinFirmware firmware_for(const robot::Robot& robot, std::uint32_t board_fp);
// An EEPROM image with a table in it, as a load would leave it (stale tables, tests).
[[nodiscard]] std::vector<std::uint8_t> eeprom_with_table(std::span<const std::uint8_t> table);

struct TwinOptions {
  TwinFirmware firmware;
  std::vector<std::uint8_t> eeprom;  // image; empty: as new
  // The team's program built for the twin. Its names and fingerprint then replace the firmware's, unless `names` says
  // that the controller carries another build.
  std::string program;
  enum class Names { of_program, of_firmware } names = Names::of_program;
  std::optional<std::uint64_t> seed;  // in place of the deviations file's
};

class Twin {
 public:
  Twin(const robot::Robot& drawn, const plant::Deviations& deviations, TwinOptions options);
  ~Twin();
  Twin(const Twin&) = delete;
  Twin& operator=(const Twin&) = delete;

  [[nodiscard]] Instant now() const;
  // The host sends now; each byte takes its ten bit times, after those sent before.
  void write(std::span<const std::uint8_t> bytes);

  enum class Until { deadline, first_bytes };
  // Advances to the deadline, or to the first bytes: then all that follow them without a pause within the same
  // millisecond come too, and now() is the time of the last one. A deadline in the past returns what has come already.
  [[nodiscard]] std::vector<TimedByte> run_until(Instant deadline, Until until = Until::deadline);

  // The chip is reset now (as when a serial port is opened on many boards).
  void reset(wire::ResetCause cause);
  // For so long no interrupt runs on the chip: no tick, no reception; its watchdog goes on.
  void block_interrupts(Duration how_long);

  [[nodiscard]] plant::Bystander& bystander();
  [[nodiscard]] const plant::Plant& plant() const;  // for tests and records only: an estimator never sees the truth
  [[nodiscard]] const std::vector<std::uint8_t>& eeprom() const;
  [[nodiscard]] int resets() const;  // since the start, by whatever cause
  // What is wrong with the team's program, where it could not be started or died; else empty.
  [[nodiscard]] std::string program_problem() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace ringout::twin
