// The same networks as text for ngspice, so that a second program can be asked: the settled state of a load case, and
// one motor's start from rest. Run with `ngspice -b FILE`; every figure is printed as "name = value".
//
// A motor behind its driver is written as what it is, not as our answer: a source of the driver's voltage (level times
// supply, or what keeps the current at its limit), the loop's resistance, the back-EMF k·ω, and for the shaft a node
// whose voltage is the speed and whose currents are torques. The supply gives as much power as the motor takes.
#pragma once

#include <string>

#include "desk/case_figures.h"
#include "desk/motor_start.h"

namespace ringout::desk {

// Names of the nodes as in DeskReport::nodes, blanks as "_"; loads by their output's name: i_…, u_…, speed_….
// Error: the case has no solution (a motor that stands is written as standing).
[[nodiscard]] Result<std::string> case_netlist(const robot::Robot& robot, const PlannedCase& planned);

// Measures at `points` evenly spaced times: i_1 …, speed_1 …
[[nodiscard]] std::string start_netlist(const std::string& title, const MotorStart& start, Time duration, int points);

// A name that ngspice takes: letters, digits and "_" in lower case.
[[nodiscard]] std::string netlist_name(const std::string& name);

}  // namespace ringout::desk
