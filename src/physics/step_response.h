// Closed form of the linear motor's speed after a step of voltage, from rest:
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

}  // namespace ringout::physics
