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

// Points are matched by name; a renamed point is one gone and one new. A protection's change is told once for the robot
// and once for each point whose power runs through it. What each key touches:
//   table    what the agent enforces or scales by: port, kind, reversed, off, levels, end switches, travel, gear,
//   radius,
//            the sensor's device, the order of the points, the board
//   program  names, kinds and order of the points
//   proof    what can change which device answers, or how: port, device, feed, connector, wire size, direction, shaft,
//            gear; not a wire's length, an owner, an access, a text
[[nodiscard]] std::vector<Change> difference(const Robot& before, const Robot& after);

}  // namespace ringout::robot
