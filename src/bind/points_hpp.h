// points.hpp: the robot's points as typed constants for the team's program, and their names for the agent. Names and
// kinds only: a moved wire changes nothing here (agent/program.hpp shows the text's form).
#pragma once

#include <string>

#include "base/result.h"
#include "robot/robot.h"

namespace ringout::bind {

// Errors: bind.too-many-points, bind.name-not-usable (robot::fault_of_point_name), bind.name-twice.
[[nodiscard]] Result<void> check_names(const robot::Robot& robot);

// The text; errors as above.
[[nodiscard]] Result<std::string> points_hpp(const robot::Robot& robot);

}  // namespace ringout::bind
