#include "robot/robot_file.h"

namespace ringout::robot {

void check_references(const Robot& robot, Diagnostics& found) {
  (void)robot;
  (void)found;
}

}  // namespace ringout::robot
