// What a fault does to a point: the physics behind every check, in one place.
#pragma once

#include "find/robot/derivation.h"

namespace ringout::faults {

// Output: what happens when its drawn port is driven by the controller, whatever the program says.
enum class Motion { as_should, weak, at_times, wrong_way, none };
enum class Draws { as_should, too_much, other, at_times, none };
struct Answer {
  Motion motion = Motion::as_should;
  Draws draws = Draws::as_should;
  const robot::Output* acts = nullptr;  // another device does
};
struct LikelyAnswer {
  Answer answer;
  double weight = 1.0;
};
// Empty: the fault does not bear on it.
[[nodiscard]] std::vector<LikelyAnswer> answers(const robot::Robot& robot, const Fault& fault,
                                                const robot::Output& output);

// Where current to the output's port passes through: the fault opens (or half opens) that way.
enum class Feeding { untouched, open, at_times, low, maybe_blown };
[[nodiscard]] Feeding feeding(const robot::Robot& robot, const Fault& fault, const std::string& protection);
[[nodiscard]] Feeding board_feeding(const robot::Robot& robot, const Fault& fault);

// Input: what it says while what it senses changes.
[[nodiscard]] Shows input_shows(const Fault& fault, const robot::Input& input);

}  // namespace ringout::faults
