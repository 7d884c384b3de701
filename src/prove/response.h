// What the sensors did in one bump, as changes with their errors; the noise is taken from the quiet part before it.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "capture/sample.h"
#include "robot/robot.h"

namespace ringout::prove {

// A change and its standard error, in the sensor's own steps (counts, raw).
struct Change {
  double delta = 0.0;
  double error = 1.0;
};

struct EncoderAnswer {
  double delta = 0.0;     // counts from rest to rest
  int changes = 0;        // samples that differ from the one before, from the start to the end
  int widest = 0;         // farthest from the resting count
  int quiet_changes = 0;  // the same two in the quiet part
  int quiet_widest = 0;
};

// How a sensor keeps while nothing moves: an input that nothing holds wanders, a loose one jumps to and fro.
enum class Rest { still, wanders, jumps };

inline constexpr double start_window_s = 0.025;

struct Response {
  std::uint8_t bridge = 0;
  double level = 0.0;  // signed fraction of supply
  double slope_per_s = 0.0;
  double driven_s = 0.0;  // as it was, not as it was asked for
  double rest_volts = 0.0;
  double lowest_volts = 0.0;            // lowest reading of the supply in the driven part
  Change sag_volts;                     // supply, driven part against quiet part; positive: it fell
  std::vector<EncoderAnswer> encoders;  // by encoder port
  std::vector<Change> moved;            // by ADC channel: rest after against rest before
  std::vector<Rest> rest;               // by ADC channel, in the quiet part
  std::vector<Change> loaded;           // by ADC channel: driven part against quiet part
  // The bank's current in two parts, raw steps: while the motor starts (slope and start_window_s after it), and then.
  std::optional<Change> starting;  // empty where the port's bank has no sense, or the bump was cut short in it
  std::optional<Change> running;
  double load_gaps = 0.0;  // share of the driven part in which this bridge's bank current had vanished (0 or up to 1)
  bool gaps_visible = false;  // the bank current stood clear of its noise, so that gaps can be seen at all
};

[[nodiscard]] Response response_of(const robot::Robot& robot, const capture::BumpRecord& record);

// Volts at the supply and amperes of a bank from raw readings.
[[nodiscard]] double supply_volts(const robot::Board& board, double raw);
[[nodiscard]] double bank_amperes(const robot::Board& board, const robot::BoardBank& bank, double raw);
// The bank that feeds a bridge, or null; its sense may be absent.
[[nodiscard]] const robot::BoardBank* bank_of(const robot::Board& board, std::uint8_t bridge);

}  // namespace ringout::prove
