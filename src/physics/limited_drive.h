// A drive train whose driver lowers its duty so that the motor's current stays at a limit L, duty ≥ 0.
//
//   I < L: the line of drive_train.h      I = L: any speed from 0 to ω_L = (d·E − R·L)/(k·N), torque N·k·(L − I0)
//
// The driver gives what keeps I = L: d'·E = (Rm + d'²·Rs)·L + k·N·ω, d' ≤ d. Averaged currents, as there. A load that
// turns the motor backward against L is taken as standing.
#pragma once

#include "physics/drive_train.h"

namespace ringout::physics {

// As physics::point_at_speed, for ω ≥ 0.
[[nodiscard]] DrivePoint point_at_speed(const DriveTrain& t, Drive drive, AngularSpeed output, Current limit);
// As physics::operating_point.
[[nodiscard]] DrivePoint operating_point(const DriveTrain& t, Drive drive, Current limit);
// As physics::most_power and most_efficient. Both fall where the speed falls at the limit: where the best point of the
// line is beyond it, the best is at ω_L. L ≤ I0: it never turns, and both are nothing.
[[nodiscard]] DrivePoint most_power(const DriveTrain& t, Drive drive, Current limit);
[[nodiscard]] DrivePoint most_efficient(const DriveTrain& t, Drive drive, Current limit);

// From rest at a step of voltage, everything seen at the rotor, inductance neglected:
//
//   J·dω/dt = k·(i − Is) − b·ω      i = min(L, (U − k·ω)/R)
struct RunUp {
  Voltage u;         // > 0
  Resistance r;      // > 0, all that the current runs through
  MotorConstant k;   // > 0
  Current standing;  // Is: friction of motor and load, and its weight
  Damping viscous;   // b ≥ 0
  Inertia inertia;   // > 0
  Current limit;     // L > 0, may be infinite
};
// Until `share` (0 … 1) of the settled speed, in closed form: evenly or exponentially up to ω_L, exponentially from
// there. With L = ∞, b = 0 and share = 1 − 1/e it is R·J/k². Infinite: it does not start.
[[nodiscard]] Time run_up_time(const RunUp& m, double share);

}  // namespace ringout::physics
