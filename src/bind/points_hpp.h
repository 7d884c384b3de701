// points.hpp: the robot's points as typed constants for the team's program, and their names for the agent. Names and
// kinds only: a moved wire changes nothing here (agent/program.hpp shows the text's form).
#pragma once

#include <cstddef>
#include <string>

#include "base/result.h"
#include "robot/robot.h"

namespace ringout::bind {

constexpr std::size_t most_points = 64;
constexpr std::size_t longest_name = 31;  // in letters; as in agent/program.hpp

// Errors: bind.too-many-points, bind.name-too-long, bind.name-not-usable (no identifier of C++, or a word of the
// language), bind.name-twice.
[[nodiscard]] Result<void> check_names(const robot::Robot& robot);

// The text; errors as above.
[[nodiscard]] Result<std::string> points_hpp(const robot::Robot& robot);

}  // namespace ringout::bind
