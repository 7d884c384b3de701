// What a mechanism looks like from the motor's side of its gear. Gear ratio N = motor turns over output turns.
//
//   inertia /N²      torque /(N·η) driving      a mass at speed v behind a shaft at ω: J = m·(v/ω)²
//   incline: up m·g·(sin φ + µ·cos φ), just held m·g·(sin φ − µ·cos φ)
//   belt on a flat bed: pull = g·(product + 2·belt)·length·width·µ, masses by area
//
// Rigid parts; friction as Coulomb has it. Ranges: N, η, ω > 0, masses and µ ≥ 0, −90° < φ < 90°. Friction figures in
// books differ by a factor of two (wet rubber on concrete 0.25 … 0.5): measure. Sources: G. K. Dubey, Fundamentals of
// Electrical Drives, ex. 2.1; hongsbelt.com calculation examples; any text on statics.
#pragma once

#include "units/quantity.h"

namespace ringout::physics {

using MassPerArea = Quantity<1, -2, 0, 0, 0, 0>;

[[nodiscard]] Inertia inertia_at_motor(Inertia at_output, double ratio);
[[nodiscard]] Torque torque_at_motor(Torque at_output, double ratio, double efficiency);
// Moving at v while the shaft turns at ω.
[[nodiscard]] Inertia inertia_of_mass(Mass m, Speed v, AngularSpeed shaft);
// Weight m·g lifted at v by the shaft at ω through efficiency η: M = m·g·v/(ω·η).
[[nodiscard]] Torque hoist_torque(Mass m, Speed v, AngularSpeed shaft, double efficiency, Acceleration gravity);

struct InclineForces {
  Force up;    // to move it up
  Force held;  // to keep it from sliding down; below 0: it stays by itself
};
[[nodiscard]] InclineForces incline_forces(Mass m, Angle slope, double friction, Acceleration gravity);

[[nodiscard]] Force belt_pull(MassPerArea product, MassPerArea belt, Length length, Length width, double friction,
                              Acceleration gravity);

// An external gear pair turns the other way: φ2 = −φ1·z1/z2.
[[nodiscard]] Angle meshed_angle(Angle first, int first_teeth, int second_teeth);

}  // namespace ringout::physics
