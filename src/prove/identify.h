// Which drawn device answered on which port, which way and how strongly: a likelihood over whole wirings.
//
// A wiring says which device sits on each bridge port, with which sign and in which condition, and which sensor sits on
// each sensor port. Its probability is prior x likelihood of every recorded bump on every sensor; the posterior is
// summed exactly over all exclusive assignments of devices to ports (a dynamic programme over subsets) for every
// arrangement of sensors within reach of the data. What bumps cannot separate stays in the posterior and becomes a
// question to the person; her answers are evidence like any other.
//
//   Evidence evidence; evidence.bumps = …;
//   for (;;) { Identification id = identify(robot, evidence, {});  if (id.questions.empty()) break;
//              bump id.questions[0].bridge again, ask, evidence.looks.push_back(answer); }
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "capture/sample.h"
#include "prove/bump_plan.h"
#include "prove/finding.h"
#include "robot/robot.h"

namespace ringout::prove {

enum class Saw { device, nothing, something_else };

// One possible answer. `direction` is about the outward half (positive level at the port): +1 the device moved as its
// `positive_means` says, -1 the other way, 0 it has no direction (on/off).
struct Choice {
  std::string text;
  Saw saw = Saw::nothing;
  std::string point;  // drawn output, when a device was seen
  int direction = 0;
};

// Bump this bridge once more (outward half first) while a person watches, and ask.
struct Question {
  std::uint8_t bridge = 0;
  std::string port;  // its name on the board
  std::string text;
  std::vector<Choice> choices;  // likeliest first; always every output, "nothing" and "something else"
  std::string why;              // what the sensors alone could not tell
};

// The person's answer: a choice of the question for that bridge.
struct Look {
  std::uint8_t bridge = 0;
  Saw saw = Saw::nothing;
  std::string point;
  int direction = 0;
};

struct Evidence {
  std::vector<capture::BumpRecord> bumps;
  std::vector<Look> looks;
};

struct IdentifyOptions {
  // A port is asked about while the probability of its best explanation is below this. first_proving lets a person look
  // at every output that answers once; sparing leaves pairs of faults that hide each other (leads reversed and channels
  // swapped; a whole harness exchanged) to their small prior, and gets one random robot in a hundred wrong.
  static constexpr double first_proving = 0.999999;
  static constexpr double sparing = 0.999;
  double settle_at = first_proving;
};

struct Identification {
  std::vector<Finding> findings;    // outputs, then encoders and analogue inputs that sense motion; robot file's order
  std::vector<Question> questions;  // most informative first; empty: settled, or no look can settle more
  SupplyFinding supply;
  double confidence = 0.0;  // of the best whole wiring
};

[[nodiscard]] Identification identify(const robot::Robot& robot, const Evidence& evidence,
                                      const IdentifyOptions& options);

// What a proving makes of them: an output for whose motion no sensor is drawn is proved by nothing but a person's look,
// however well its current fits (docs/decisions/0010).
void leave_unseen_untested(const robot::Robot& robot, std::vector<Finding>& findings);

// What acts on this bridge, asked by itself: the expected output first, then every other, nothing, something else.
[[nodiscard]] Question look_for(const robot::Robot& robot, std::uint8_t bridge, const std::string& expected);

}  // namespace ringout::prove
