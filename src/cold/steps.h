// The sheet's steps as they come from the robot file, before they are put in order; inner to cold.
#pragma once

#include <string>
#include <vector>

#include "cold/expected.h"
#include "cold/sheet.h"

namespace ringout::cold {

// Power off: meter, rails, supply, devices, switches, sensors, leads.
[[nodiscard]] std::vector<Step> dead_steps(const robot::Robot& robot);
// First power, in the order in which the branches are closed.
[[nodiscard]] std::vector<Step> power_steps(const robot::Robot& robot);

// So that each place is opened once: the battery's, then those of the supply alone, then the controller's, then all
// others by the effort to reach them. Leads are read from the controller's pulled plugs, so what is measured at the
// battery's place beyond the supply has to wait for the controller: only that place is opened again, and only then.
[[nodiscard]] std::vector<Step> ordered(const robot::Robot& robot, std::vector<Step> steps);

// What the controller takes at most with every output off, amperes.
[[nodiscard]] double most_at_rest(const robot::Robot& robot);

}  // namespace ringout::cold
