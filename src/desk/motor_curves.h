// Each motor by itself: its line and best points behind its own path to the battery, and what happens when it is held
// still with everything else off.
#pragma once

#include <span>

#include "desk/case_figures.h"

namespace ringout::desk {

// `of`: indices of the outputs that are wanted; those that are no motor are left out.
[[nodiscard]] std::vector<MotorCurve> motor_curves(const robot::Robot& robot, const Layout& layout,
                                                   std::span<const std::size_t> of);

// Full level, held still. Only the parts on its way and the controller's carry current, so each is a network of four
// nodes: battery, fork, port, controller.
[[nodiscard]] std::vector<BranchStall> branch_stalls(const robot::Robot& robot, const Layout& layout,
                                                     std::span<const std::size_t> of);

// Their `warm_limit_after`.
void add_warm_limits(const robot::Robot& robot, const Layout& layout, const std::vector<DutyFigures>& duties,
                     std::vector<BranchStall>& stalls);

}  // namespace ringout::desk
