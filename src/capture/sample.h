// What the controller reported, with its own clock: one sample, and the samples around one bump.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ringout::capture {

// Why outputs were stopped or a bump ended. The numbers are the ones the controller sends.
enum class EndCause : std::uint8_t {
  none,
  host_stop,
  hold_lapsed,
  released,
  supply_low,
  end_switch,
  travel_bound,
  duration_over,
  late_frame,
  watchdog,
  table_changed,
  program_ended,
  program_stopped,
  bank_current,
  bug,
  hello,
  after_reset,
};
[[nodiscard]] const char* name_of(EndCause cause);
[[nodiscard]] std::optional<EndCause> end_cause(std::string_view name);

// Indices are the board file's: bridges, encoders, switches count per kind; adc counts the chip's channels.
struct Sample {
  std::int64_t clock_us = 0;  // the controller's own clock, unwrapped
  std::vector<std::int16_t> levels_permille = {};
  std::vector<std::int32_t> encoders = {};  // counts, unwrapped
  std::uint16_t switches = 0;               // pin levels; inputs have pull-ups, so a closed switch reads 0
  std::vector<std::uint16_t> adc = {};      // raw
  std::uint8_t state = 0;
  int lost_before = 0;  // samples the line lost just before this one

  bool operator==(const Sample&) const = default;
};

// One bump as commanded: level is a fraction of supply in permille with the sign at the port's terminals.
struct BumpCommand {
  std::uint8_t bridge = 0;
  int level_permille = 0;
  int slope_permille_per_ms = 0;
  int duration_ms = 0;

  bool operator==(const BumpCommand&) const = default;
};

// One bump with all sensors watched. A two-sided bump is two records, out and back.
struct BumpRecord {
  BumpCommand command;
  std::int64_t started_us = 0;
  std::int64_t ended_us = 0;
  EndCause cause = EndCause::none;
  std::vector<Sample> before = {};  // quiet: all outputs off, nothing coasting
  std::vector<Sample> during = {};
  std::vector<Sample> after = {};  // coasting to rest
  int lost_samples = 0;

  bool operator==(const BumpRecord&) const = default;
};

// Samples around one hand action ("press the switch at the top of the mast and hold it").
struct HandRecord {
  std::string input;                // the point the person was asked to work
  std::vector<Sample> before = {};  // hands away
  std::vector<Sample> during = {};  // worked and held
  std::vector<Sample> after = {};   // let go again; may be empty
  bool done = true;                 // false: the person said that it cannot be reached
  // A mechanism turned by hand: the way that she says she turned it, as `positive_means` has it; 0: not said.
  int direction = 0;

  bool operator==(const HandRecord&) const = default;
};

}  // namespace ringout::capture
