// Inputs that no bump can prove: end switches, other switches, sensors of the surroundings, and sensors of what does
// not move by itself. The person works one, all are watched, and the one that answered is the finding.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "capture/sample.h"
#include "prove/finding.h"
#include "robot/robot.h"

namespace ringout::prove {

// What to ask of the person's hands: "<action>, and hold it", then "let go".
struct HandRequest {
  std::string input;
  std::string port;    // drawn
  std::string action;  // from the robot file, or made from the point's name
};

// Switches and analogue inputs that do not sense an output's motion; robot file's order.
[[nodiscard]] std::vector<HandRequest> hand_requests(const robot::Robot& robot);

// What a sensor of motion is asked of: turn what it senses, outputs off.
struct TurnRequest {
  std::string input;
  std::string output;  // that it senses
};

// Sensors of motion that no bump has tested, because what they sense took no motion from its motor; robot file's order.
// What is jammed is freed first.
[[nodiscard]] std::vector<TurnRequest> turn_requests(const robot::Robot& robot, std::span<const Finding> findings);

// Whether some encoder or analogue input has gone as far as find_by_hand needs to say so.
[[nodiscard]] bool turned_enough(const robot::Robot& robot, const capture::Sample& rest, const capture::Sample& now);

// Puts what the hands have shown in the place of what the bumps have left open.
void add_by_hand(const robot::Robot& robot, std::span<const capture::HandRecord> records,
                 std::vector<Finding>& findings);

// A point that the agent does not work (robot::agent_works): what a person who has seen it act, or not, says of it.
inline constexpr double told_confidence = 0.95;  // above sure_enough, below what is measured; an estimate of ours
[[nodiscard]] Finding told_by_person(const std::string& point, const std::string& port, bool acts);
// Each in the place of what stands there for its point.
void put_told(std::span<const Finding> told, std::vector<Finding>& findings);

// One finding per request that has a record: decided jointly, so that two inputs never claim one port.
[[nodiscard]] std::vector<Finding> find_by_hand(const robot::Robot& robot,
                                                std::span<const capture::HandRecord> records);

}  // namespace ringout::prove
