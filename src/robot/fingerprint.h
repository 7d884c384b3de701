// Two fingerprints (CRC-32 of a canonical text): the program's names and kinds, and the point table's content, which is
// everything the agent enforces. A comment, a wire's length or a device's description changes neither.
#pragma once

#include <cstdint>

#include "robot/robot.h"

namespace ringout::robot {

// Names and kinds of all points, outputs first, each in the robot file's order: "name:kind\n" each.
[[nodiscard]] std::uint32_t program_fingerprint(const Robot& robot);

}  // namespace ringout::robot
