// The file that the command `new` writes: a small robot, commented for someone who has never seen a robot file.
#pragma once

#include <string>

#include "robot/catalogue.h"

namespace ringout::robot {

// A starter with one motor, its encoder, one lift with two end switches, on the catalogue's first board and devices of
// each kind that fit together. Reads without error against the same catalogue when this has a board, battery, breaker,
// fuse, motor, encoder and switch. `name` is to be legal (fault_of_name in resolve.h); another one becomes "my_robot".
[[nodiscard]] std::string starter_robot_file(const std::string& name, const Catalogue& catalogue);

}  // namespace ringout::robot
