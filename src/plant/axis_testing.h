// For the plant's own tests: one motor without the rest.
#pragma once

#include "plant/motor_axis.h"

namespace ringout::plant::testing {

// A motor of 12 V on a bare shaft whose equations are linear: no Coulomb friction, no gear loss, no ripple, no cogging.
[[nodiscard]] inline AxisParameters linear_motor() {
  AxisParameters p;
  p.winding_resistance = 0.6;
  p.inductance = 0.4e-3;
  p.k = 0.0217;
  p.rotor_inertia = 1.2e-5;
  p.rotor_viscous = 1e-5;
  return p;
}

// A lift with everything in it: screw gear, weight, Stribeck friction, gear loss, cogging, ripple, backlash, stops.
[[nodiscard]] inline AxisParameters lift() {
  AxisParameters p;
  p.winding_resistance = 1.33;
  p.series_resistance = 0.1;
  p.inductance = 0.9e-3;
  p.k = 0.0293;
  p.gear = 15;
  p.rotor_inertia = 6e-6;
  p.rotor_friction = 0.005;
  p.rotor_viscous = 5e-6;
  p.cogging = 0.0018;
  p.cogging_periods = 14;
  p.ripple = 0.03;
  p.ripple_periods = 10;
  p.efficiency = 0.8;
  p.half_backlash = 0.013;
  p.load_inertia = 6e-5;
  p.load_friction = 0.14;
  p.load_viscous = 0.0005;
  p.weight_torque = 0.10;
  p.stribeck_speed = 0.5;
  p.low_stop = -20.0;
  p.high_stop = 20.0;
  return p;
}

// n steps at a stiff supply; returns the energy taken from it.
inline double run(MotorAxis& axis, double duty, robot::Off off, double supply, double dt, int n) {
  double taken = 0.0;
  for (; n > 0; --n) {
    static_cast<void>(axis.plan(duty, off, supply, dt));
    taken += supply * axis.advance(supply, dt);
  }
  return taken;
}

}  // namespace ringout::plant::testing
