// Closed form of the linear motor's speed after a step of voltage, from rest; what the solvers are judged by in tests:
//
//   L·di/dt + R·i + K·ω = U      J·dω/dt + b·ω = K·i
//   s² + s·(R/L + b/J) + (R·b + K²)/(L·J) = 0,  ω(∞) = K·U/(R·b + K²)
//
// No Coulomb friction, no load torque, constant coefficients, all positive (b may be zero). Real or complex poles.
// Source: Control Tutorials for MATLAB & Simulink (University of Michigan), "DC Motor Speed"; any control text.
#pragma once

#include <complex>
#include <utility>

#include "units/quantity.h"

namespace ringout::physics {

struct LinearMotor {
  Resistance r;
  Inductance l;
  MotorConstant k;
  Inertia j;
  Damping b;
};

// The two poles in 1/s, slower first where they are real.
[[nodiscard]] std::pair<std::complex<double>, std::complex<double>> poles(const LinearMotor& m);
// Steady speed for a steady voltage.
[[nodiscard]] AngularSpeed steady_speed(const LinearMotor& m, Voltage u);
// Speed at time t ≥ 0 after the step; the poles must differ.
[[nodiscard]] AngularSpeed speed_after_step(const LinearMotor& m, Voltage u, Time t);
// Current at time t ≥ 0 after the step: i = (J·dω/dt + b·ω)/K.
[[nodiscard]] Current current_after_step(const LinearMotor& m, Voltage u, Time t);

// The same motor against a friction torque that holds it until the current overcomes it, and brakes it afterwards:
//   standing: i = U/R·(1 − e^(−t·R/L)) until K·i = M;   then J·dω/dt + b·ω = K·i − M with the two poles above
// Both parts in closed form. From rest, U > 0, M ≥ 0; K·U/R ≤ M: it never starts.
struct MotorMotion {
  Current current;
  AngularSpeed speed;
  Angle angle;
};
[[nodiscard]] MotorMotion start_against(const LinearMotor& m, Voltage u, Torque friction, Time t);
// When it begins to move; infinite if never.
[[nodiscard]] Time breakaway_time(const LinearMotor& m, Voltage u, Torque friction);

}  // namespace ringout::physics
