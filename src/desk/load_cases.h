// The states of the robot that are checked: those of the robot file, and the worst that are credible without being
// written down. The tool's own:
//
//   all_off               every output off: the controller and its sensors alone
//   all_at_asked_speed    every motor at the speed asked for, or running at its highest level; every on/off output on
//   drives_stalled        the drive motors held still at full level, everything else off
//   drives_stalled_all_on the drive motors held still at full level, everything else as in all_at_asked_speed
//   drives_stalled_low    as drives_stalled, with the battery at 20 % of its charge, below which go/no-go refuses it;
//                         left out where the robot file states no more than that
//   lift_while_drives_start  weights lifted at full level while the drive motors start (at rest they draw what they
//                            draw stalled)
//
// The drive motors: those of mechanisms that turn without end and have a radius, two or more of one device; where there
// are several such pairs, the pair whose motors take the most current stalled. Without a pair: every motor that turns
// without end and has a radius. Cases without any motor to apply to are left out.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "desk/robot_circuit.h"

namespace ringout::desk {

struct PlannedCase {
  std::string name;
  std::string description;
  CaseOrigin origin = CaseOrigin::added;
  Span place = {};
  std::size_t file_case = nowhere;             // of Robot::load_cases
  std::vector<std::size_t> file_outputs = {};  // its loads' outputs, in its order
  std::optional<double> own_charge = {};       // the case's, whatever the robot's battery has
  CaseSetting setting = {};
};

[[nodiscard]] std::vector<PlannedCase> load_cases(const robot::Robot& robot, const Layout& layout);

// Indices of the drive motors among the outputs, by the rule above.
[[nodiscard]] std::vector<std::size_t> drive_outputs(const robot::Robot& robot, const Layout& layout);

// Takes the numbers of the case anew from the robot, whose tolerances may have been drawn since.
void refresh(const robot::Robot& robot, PlannedCase& planned);

// One step of a duty cycle.
[[nodiscard]] CaseSetting setting_of(const robot::Robot& robot, const Layout& layout,
                                     const std::vector<robot::OutputLoad>& loads);

// At the speed asked for, or running at the highest level; on.
[[nodiscard]] OutputSetting as_asked(const robot::Output& output);

}  // namespace ringout::desk
