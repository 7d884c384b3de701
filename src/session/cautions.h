// What a person must have read and made true before anything moves. Shown in the terminal and in every handover.
#pragma once

#include <string>
#include <vector>

#include "robot/robot.h"

namespace ringout::session {

// General cautions first, then what this robot adds (a load that can fall, water near live terminals).
[[nodiscard]] std::vector<std::string> cautions(const robot::Robot& robot);

}  // namespace ringout::session
