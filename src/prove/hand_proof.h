// Inputs that no bump can prove: end switches, other switches, sensors of the surroundings. The person works one, all
// are watched, and the one that answered is the finding.
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

// One finding per request that has a record: decided jointly, so that two inputs never claim one port.
[[nodiscard]] std::vector<Finding> find_by_hand(const robot::Robot& robot,
                                                std::span<const capture::HandRecord> records);

}  // namespace ringout::prove
