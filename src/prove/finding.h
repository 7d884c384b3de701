// The third account: what the machine itself answered, point by point.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace ringout::prove {

// What a point's answer looked like. For outputs and sensors alike; not every value suits both.
enum class Condition {
  answers,           // as expected
  weak,              // far less than expected
  strong,            // far more than expected
  other_motor,       // output: as far as expected, but with the current of another motor than drawn
  intermittent,      // comes and goes within one bump
  jammed,            // output: current, but no motion
  drags,             // output: weak, with the current of a motor that friction holds back so far
  slips,             // output: the current of a motor that runs free, and what it should move stands or hardly moves
  shorted,           // output: more current than its device could take, and no motion: its two conductors touch
  no_current,        // output: neither current nor motion: open, blown, dead or unplugged
  silent,            // sensor: says nothing while what it senses moves
  one_channel_dead,  // encoder: one of its two channels stands still
  stuck,             // switch: does not follow the hand
  something_else,    // output: the port drives something that is not drawn
  untested,          // not enough was seen to say anything
};
[[nodiscard]] const char* name_of(Condition condition);

enum class Sign { as_drawn, reversed, unknown };
[[nodiscard]] const char* name_of(Sign sign);

inline constexpr double sure_enough = 0.9;  // a finding less sure than this proves nothing and accuses nobody

struct Finding {
  std::string point;                      // drawn name
  std::string drawn_port;                 // board port name
  std::optional<std::string> found_port;  // where it answered; empty: nowhere
  // Output: positive command gave positive motion (as `positive_means` says, with the drawn `reversed` taken into
  // account). Encoder, analogue: counted up for positive motion (drawn `reversed` taken into account).
  Sign sign = Sign::unknown;
  double strength = 0.0;    // answer over expectation; 0 where nothing answered, 1 where no size is expected
  double confidence = 0.0;  // posterior probability of port, sign and condition together, 0..1
  Condition condition = Condition::untested;
  // Other motors of the catalogue that would have answered nearly the same in this output's gear (a tenth of the best
  // one's likelihood or more), likeliest first. With condition other_motor the first of them is what answered.
  std::vector<std::string> alike = {};
  // Where the confidence is not enough to say so: what else may be, likeliest first.
  std::vector<Condition> or_else = {};
  bool person_looked = false;  // a person's answer is part of the evidence
  std::string evidence;        // in words
};

// The supply under the bumps' small loads.
struct SupplyFinding {
  double rest_volts = 0.0;         // 0 where nothing was bumped
  double loaded_volts = 0.0;       // mean of the bump that drew most
  double lowest_volts = 0.0;       // lowest single reading of all bumps
  double source_ohms = 0.0;        // sag over current; 0 where no current sense told
  double source_ohms_error = 0.0;  // one standard deviation
  double drawn_ohms = 0.0;         // battery, its wire and the protection nearest to it
  bool weak = false;               // far outside what is drawn
  std::string evidence;
};

}  // namespace ringout::prove
