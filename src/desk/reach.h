// What a tolerance can move at all, by the path of its figure: what has to be worked out anew when it moves.
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "desk/load_cases.h"

namespace ringout::desk {

// Indices of planned cases, outputs and duty cycles, rising.
struct Touched {
  std::vector<std::size_t> cases, outputs, duties;
};

// By the path's first words (robot/quantity_paths.h). What belongs to single outputs touches what these take part in;
// a load case's and a duty cycle's figures touch that alone; heat, inertia and capacity touch no settled current; every
// other figure may touch all.
[[nodiscard]] Touched reach_of(const robot::Robot& robot, const std::vector<PlannedCase>& planned,
                               std::string_view path);

}  // namespace ringout::desk
