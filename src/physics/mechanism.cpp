#include "physics/mechanism.h"

#include <cmath>

#include "base/check.h"

namespace ringout::physics {

Inertia inertia_at_motor(Inertia at_output, double ratio) {
  RINGOUT_CHECK(ratio > 0.0);
  return at_output / (ratio * ratio);
}

Torque torque_at_motor(Torque at_output, double ratio, double efficiency) {
  RINGOUT_CHECK(ratio > 0.0 && efficiency > 0.0);
  return at_output / (ratio * efficiency);
}

Inertia inertia_of_mass(Mass m, Speed v, AngularSpeed shaft) {
  RINGOUT_CHECK(shaft.si > 0.0);
  return m * (v / shaft) * (v / shaft);
}

Torque hoist_torque(Mass m, Speed v, AngularSpeed shaft, double efficiency, Acceleration gravity) {
  RINGOUT_CHECK(shaft.si > 0.0 && efficiency > 0.0);
  return m * gravity * v / shaft / efficiency;
}

InclineForces incline_forces(Mass m, Angle slope, double friction, Acceleration gravity) {
  const Force along = m * gravity * std::sin(slope.si);
  const Force rubbing = friction * std::cos(slope.si) * (m * gravity);
  return {.up = along + rubbing, .held = along - rubbing};
}

Force belt_pull(MassPerArea product, MassPerArea belt, Length length, Length width, double friction,
                Acceleration gravity) {
  return friction * ((product + 2.0 * belt) * length * width * gravity);
}

Angle meshed_angle(Angle first, int first_teeth, int second_teeth) {
  RINGOUT_CHECK(first_teeth > 0 && second_teeth > 0);
  return first * (-static_cast<double>(first_teeth) / second_teeth);
}

}  // namespace ringout::physics
