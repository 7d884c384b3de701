// What differs between two versions of a robot, as a person would say it; comments and order do not count.
#pragma once

#include <string>
#include <vector>

#include "robot/robot.h"

namespace ringout::robot {

struct Change {
  std::string point;  // the output or input touched; empty for the robot as a whole
  std::string what;   // key in the robot file, e.g. "port"
  std::string before;
  std::string after;
  bool touches_table = false;    // the point table must be loaded again
  bool touches_program = false;  // the program must be built again
  bool loses_proof = false;      // the point's last proof no longer counts
};

[[nodiscard]] std::vector<Change> difference(const Robot& before, const Robot& after);

}  // namespace ringout::robot
