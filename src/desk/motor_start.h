// One motor from rest with everything else off: current and speed against time, the winding's inductance included.
//
//   L·di/dt = u − R·i − k·ω      J·dω/dt = k·(i − resisting(ω)), J at the rotor, nothing moves below resisting
//   u = d·V, lowered to R·limit + k·ω by the driver's limit      V = E − Rb·(u·i/V)
//
// J = Jm + Jl·e/N² with e the gear's loss while it drives (physics/drive_train.h). Backlash closed, copper cold, no
// ripple. Integrated by the classical Runge-Kutta rule of fourth order in steps well below L/R.
#pragma once

#include "desk/case_figures.h"

namespace ringout::desk {

struct MotorStart {
  Voltage source = {};     // at the battery, the controller's own draw taken off
  Resistance before = {};  // between it and the driver's supply
  double level = 1.0;      // > 0
  Resistance loop = {};
  Inductance inductance = {};
  MotorConstant k = {};
  Inertia inertia = {};  // at the rotor
  RunningCurrent resisting = {};
  Current limit = {};
};
// Error "desk.no-motor": the output is no motor, or its sheet gives no inductance or inertia.
[[nodiscard]] Result<MotorStart> motor_start(const robot::Robot& robot, const Layout& layout, std::size_t output);

struct StartPoint {
  Time at = {};
  Voltage supply = {};
  Current current = {};
  AngularSpeed speed = {};  // of the rotor
};
// `points` + 1 of them, evenly spaced from 0 to `duration`.
[[nodiscard]] std::vector<StartPoint> start_curve(const MotorStart& start, Time duration, int points);
// By then it runs within a per cent or so of its settled speed; where it does not start, ten times L/R.
[[nodiscard]] Time start_duration(const MotorStart& start);

}  // namespace ringout::desk
