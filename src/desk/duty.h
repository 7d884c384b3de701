// A duty cycle of the robot file, over and over: what it takes from the battery and for how long, how hot the motors
// get, and whether a protection opens.
//
// Each step is solved as a load case, motors cold, the battery as stated and once more nearly empty; between the two
// the battery's current is a straight line of its voltage. Starting from rest is not in a step unless the cycle says so
// ("stalled" for the moment it takes).
#pragma once

#include "desk/case_figures.h"

namespace ringout::desk {

// One step solved with the battery as stated.
struct SolvedStep {
  Time duration = {};
  Current battery = {};
  Voltage terminals = {};
  Voltage controller = {};
  std::vector<Current> protections = {};  // by Robot::protections
  std::vector<LoadState> loads = {};      // by the circuit's chopped loads
  std::vector<MotorConstant> k = {};      // of each
};

[[nodiscard]] std::vector<DutyFigures> duty_figures(const robot::Robot& robot, CaseSolver& solver,
                                                    const DeskOptions& options);

// Heat, in duty_heat.cpp.
[[nodiscard]] std::vector<MotorHeatFigures> motor_heat(const robot::Robot& robot, const Layout& layout,
                                                       const std::vector<SolvedStep>& steps,
                                                       const DeskOptions& options);
[[nodiscard]] std::vector<ProfileFigures> protection_profiles(const robot::Robot& robot, const Layout& layout,
                                                              const std::vector<SolvedStep>& steps);

}  // namespace ringout::desk
