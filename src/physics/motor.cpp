#include "physics/motor.h"

#include <cmath>

#include "base/check.h"

namespace ringout::physics {
namespace {

// Quantities keep the angle as a dimension; k·ω is a voltage and k·I a torque without any factor.
Torque torque_of(MotorConstant k, Current i) {
  return k * i;
}

}  // namespace

Result<MotorFromRow> motor_from_row(const MotorRow& row) {
  const bool positive = row.nominal.si > 0.0 && row.free_speed.si > 0.0 && row.stall_torque.si > 0.0 &&
                        row.stall_current.si > 0.0 && row.free_current.si >= 0.0;
  if (!positive || row.free_current >= row.stall_current) {
    return failure(ErrorKind::bad_input, "physics.motor-row",
                   "a motor needs positive voltage, speed, stall torque and stall current, and a free current below "
                   "the stall current",
                   "compare the figures with the data sheet, and their units");
  }
  const Resistance r = row.nominal / row.stall_current;
  const Current behind_torque =
      row.convention == StallTorque::gross ? row.stall_current : row.stall_current - row.free_current;
  const MotorConstant from_torque = row.stall_torque / behind_torque;
  const MotorConstant from_speed = (row.nominal - r * row.free_current) / row.free_speed;
  MotorFromRow result;
  result.from_torque = from_torque;
  result.from_speed = from_speed;
  result.disagreement = std::abs(from_torque / from_speed - 1.0);
  result.constants = {.winding = r, .k = {std::sqrt(from_torque.si * from_speed.si)}, .free_current = row.free_current};
  return result;
}

Result<MotorFromRow> motor_from_row(const TerminalRow& row) {
  const bool positive = row.terminal.si > 0.0 && row.free_current.si >= 0.0 &&
                        (!row.torque_constant || row.torque_constant->si > 0.0) &&
                        (!row.speed_constant || row.speed_constant->si > 0.0);
  if (!positive || (!row.torque_constant && !row.speed_constant)) {
    return failure(
        ErrorKind::bad_input, "physics.motor-row",
        "a motor needs a positive terminal resistance, a torque constant or a speed constant above zero, and "
        "a free current that is not negative",
        "compare the figures with the data sheet, and their units");
  }
  MotorFromRow result;
  result.from_speed = row.speed_constant ? 1.0 / *row.speed_constant : *row.torque_constant;
  result.from_torque = row.torque_constant.value_or(result.from_speed);
  result.disagreement = std::abs(result.from_torque / result.from_speed - 1.0);
  result.constants = {.winding = row.terminal,
                      .k = {std::sqrt(result.from_torque.si * result.from_speed.si)},
                      .free_current = row.free_current};
  return result;
}

Resistance winding_at(Resistance r, Temperature from, Temperature to) {
  return r * ((to - copper_zero) / (from - copper_zero));
}

MotorConstants at_temperature(const MotorConstants& m, MotorTemperatures row, MotorTemperatures now,
                              PerKelvin magnets) {
  const double strength = 1.0 + magnets * (now.magnets - row.magnets);
  RINGOUT_CHECK(strength > 0.0);
  return {.winding = winding_at(m.winding, row.winding, now.winding),
          .k = m.k * strength,
          .free_current = m.free_current / strength};
}

Current stall_current(const MotorConstants& m, Voltage u) {
  return u / m.winding;
}

Torque stall_torque(const MotorConstants& m, Voltage u, StallTorque convention) {
  const Current is = stall_current(m, u);
  return torque_of(m.k, convention == StallTorque::gross ? is : is - m.free_current);
}

AngularSpeed free_speed(const MotorConstants& m, Voltage u) {
  return (u - m.free_current * m.winding) / m.k;
}

InverseSlope speed_torque_slope(const MotorConstants& m) {
  return m.winding / (m.k * m.k);
}

double maximum_efficiency(const MotorConstants& m, Voltage u) {
  const double root = 1.0 - std::sqrt(m.free_current * m.winding / u);
  return root * root;
}

Time mechanical_time_constant(const MotorConstants& m, Inertia j) {
  return m.winding * j / (m.k * m.k);
}

AngularAcceleration starting_acceleration(const MotorConstants& m, Voltage u, Inertia j, StallTorque convention) {
  return stall_torque(m, u, convention) / j;
}

OperatingPoint operating_point(const MotorConstants& m, Voltage u, Torque load) {
  const Current i = load / m.k + m.free_current;
  const AngularSpeed speed = back_emf(m, u, i) / m.k;
  return {.current = i, .speed = speed, .electrical = u * i, .mechanical = load * speed};
}

Voltage supply_for(const MotorConstants& m, AngularSpeed speed, Torque load) {
  return m.winding * (load / m.k + m.free_current) + m.k * speed;
}

Voltage back_emf(const MotorConstants& m, Voltage u, Current i) {
  return u - m.winding * i;
}

}  // namespace ringout::physics
