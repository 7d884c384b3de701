// Where the sensors of motion may sit: every exclusive placing of drawn sensors on sensor ports, with its prior.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "robot/robot.h"

namespace ringout::prove {

// A drawn encoder or analogue input that senses an output's motion.
struct MotionSensor {
  const robot::Input* input = nullptr;
  std::size_t output = 0;  // index of the output it senses
  std::size_t drawn = 0;   // its port's index within the kind
};

struct Arrangement {
  std::vector<std::optional<std::size_t>> port;  // by sensor; empty: on no port (another sits on its own)
  double log_prior = 0.0;
};

// `in_use`: ports of the kind that any drawn input uses. At most `most_moved` sensors leave their drawn port.
[[nodiscard]] std::vector<Arrangement> arrangements(const std::vector<MotionSensor>& sensors, std::size_t ports,
                                                    const std::vector<bool>& in_use, std::size_t most_moved);

// The first of its kind for each output; a second encoder on one output is not told apart from bumps.
[[nodiscard]] std::vector<MotionSensor> motion_sensors(const robot::Robot& robot, robot::PointKind kind);
[[nodiscard]] std::vector<bool> ports_in_use(const robot::Robot& robot, robot::PointKind kind, std::size_t ports);

}  // namespace ringout::prove
