// A robot for tests of this folder, made in code: the invented tray carrier in its main points, with two depths of
// protection, an inverted switch, a potentiometer that falls and a normally closed contact.
#pragma once

#include "robot/robot.h"

namespace ringout::bind {

[[nodiscard]] robot::Robot tray_carrier_for_tests();

}  // namespace ringout::bind
