// What somebody notices of a robot that has these deviations, while its program works each point once.
#pragma once

#include <vector>

#include "find/robot/complaint.h"
#include "plant/deviations.h"
#include "robot/robot.h"

namespace ringout::trial {

// What the program does with a point, where it does the wrong thing.
struct Miscommand {
  std::string point;
  enum class How { nothing, little, wrong_sign, unasked, reads_wrongly } how = How::nothing;
};

// In the robot file's order, outputs first; a sensor of an output that does not move is not complained of.
[[nodiscard]] std::vector<faults::Trouble> noticed(const robot::Robot& robot, const plant::Deviations& deviations,
                                                   const std::vector<Miscommand>& program, std::uint64_t seed);

}  // namespace ringout::trial
