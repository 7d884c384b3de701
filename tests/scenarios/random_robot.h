// Random robots and random deviations, from a seed alone.
#pragma once

#include <cstdint>

#include "plant/deviations.h"
#include "robot/robot.h"

namespace ringout::scenarios {

// The demonstration robot with other ports, directions, gears, friction and weights, and some points left out.
[[nodiscard]] robot::Robot random_robot(const robot::Robot& model, std::uint64_t seed);

// Up to `most` deviations of any kind that the machine itself can show (not those of firmware, table and program).
[[nodiscard]] plant::Deviations random_deviations(const robot::Robot& drawn, std::uint64_t seed, int most);

}  // namespace ringout::scenarios
