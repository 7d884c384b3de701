#include "physics/drive_train.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace ringout::physics {
namespace {

void check(const DriveTrain& t, double duty) {
  RINGOUT_CHECK(t.gear.ratio > 0.0 && t.gear.efficiency > 0.0 && t.gear.efficiency <= 1.0);
  RINGOUT_CHECK(t.motor.k.si > 0.0 && t.motor.winding.si > 0.0);
  RINGOUT_CHECK(t.load.friction.si >= 0.0 && t.load.viscous.si >= 0.0);
  RINGOUT_CHECK(duty >= -1.0 && duty <= 1.0);
}

// k as the output shaft sees it: volts per rad/s there, and N·m there per ampere.
MotorConstant k_at_output(const DriveTrain& t) {
  return t.motor.k * t.gear.ratio;
}

Torque motor_friction_at_output(const DriveTrain& t) {
  return k_at_output(t) * t.motor.free_current;
}

// The torque that a motor's torque (at the output, before gear loss) leaves for the load: its inverse is e·M.
Torque passed_on(const Gear& gear, Torque before_loss, int direction) {
  if (before_loss.si * direction >= 0.0) return before_loss * gear.efficiency;
  const double back = back_efficiency(gear);
  return back > 0.0 ? before_loss / back : Torque{};
}

// Settled speed in `direction`, or nothing where that is not a speed in it.
std::optional<AngularSpeed> settled_speed(const DriveTrain& t, Drive drive, int direction) {
  const Resistance r = total_resistance(t, drive.duty);
  const MotorConstant k = k_at_output(t);
  const double s = direction;
  const Torque motor = k * (drive.source * drive.duty / r) - s * motor_friction_at_output(t);
  const Torque still_load = t.load.weight + s * t.load.friction;
  const double driving = 1.0 / t.gear.efficiency;
  const double driven = back_efficiency(t.gear);
  if (s * (motor - gear_factor(t.gear, still_load, direction) * still_load).si <= 0.0) return std::nullopt;
  // Torque left, motor − e·M(ω) − (N·k)²/R·ω, falls with the speed and bends once, where M(ω) changes its sign.
  const auto speed_for = [&](double e) { return (motor - e * still_load) / (k * k / r + e * t.load.viscous); };
  if (s * still_load.si < 0.0) {
    const AngularSpeed w = speed_for(driven);
    if (s * (still_load + t.load.viscous * w).si < 0.0) return w;
  }
  return speed_for(driving);
}

// What the gear keeps of the power that goes through it.
Power gear_loss(const Gear& gear, Power into_load) {
  if (into_load.si >= 0.0) return into_load * (1.0 / gear.efficiency - 1.0);
  return into_load * (back_efficiency(gear) - 1.0);
}

void settle(DrivePoint& p, const Gear& gear) {
  p.delivered = p.output_torque * p.output_speed;
  p.in_gear = gear_loss(gear, p.delivered);
  p.efficiency = p.delivered.si > 0.0 && p.from_source.si > 0.0 ? p.delivered / p.from_source : 0.0;
}

DrivePoint still_point(const DriveTrain& t, Drive drive, Torque output) {
  DrivePoint p;
  const Resistance r = total_resistance(t, drive.duty);
  p.motor_current = drive.source * drive.duty / r;
  p.supply_current = p.motor_current * drive.duty;
  p.motor_torque = t.motor.k * p.motor_current;
  p.output_torque = output;
  p.at_driver = drive.source - t.before_driver * p.supply_current;
  p.from_source = drive.source * p.supply_current;
  p.in_resistance = r * (p.motor_current * p.motor_current);
  return p;
}

}  // namespace

double back_efficiency(const Gear& gear) {
  if (gear.back_efficiency) return *gear.back_efficiency;
  return std::max(0.0, 2.0 - 1.0 / gear.efficiency);
}

Resistance total_resistance(const DriveTrain& t, double duty) {
  return t.motor.winding + t.driver + t.leads + duty * duty * t.before_driver;
}

double gear_factor(const Gear& gear, Torque on_load, int direction) {
  return on_load.si * direction >= 0.0 ? 1.0 / gear.efficiency : back_efficiency(gear);
}

DrivePoint point_at_speed(const DriveTrain& t, Drive drive, AngularSpeed output) {
  check(t, drive.duty);
  const int direction = output.si != 0.0 ? (output.si > 0.0 ? 1 : -1) : (drive.duty >= 0.0 ? 1 : -1);
  const Resistance r = total_resistance(t, drive.duty);
  DrivePoint p;
  p.motor_speed = output * t.gear.ratio;
  p.output_speed = output;
  p.motor_current = (drive.source * drive.duty - t.motor.k * p.motor_speed) / r;
  p.supply_current = p.motor_current * drive.duty;
  p.motor_torque = t.motor.k * (p.motor_current - direction * t.motor.free_current);
  if (output.si == 0.0 && p.motor_torque.si * direction < 0.0) p.motor_torque = {};  // friction holds it
  p.output_torque = passed_on(t.gear, p.motor_torque * t.gear.ratio, direction);
  p.motion = output.si > 0.0 ? Motion::forward : output.si < 0.0 ? Motion::backward : Motion::still;
  p.at_driver = drive.source - t.before_driver * p.supply_current;
  p.from_source = drive.source * p.supply_current;
  p.in_resistance = r * (p.motor_current * p.motor_current);
  p.in_motor_friction = t.motor.k * t.motor.free_current * (p.motor_speed * direction);
  settle(p, t.gear);
  return p;
}

DrivePoint operating_point(const DriveTrain& t, Drive drive) {
  check(t, drive.duty);
  for (const int direction : {1, -1}) {
    const auto w = settled_speed(t, drive, direction);
    if (!w) continue;
    DrivePoint p = point_at_speed(t, drive, *w);
    // A self-locking gear carries the load itself; elsewhere the torque passed on is the load's, to rounding.
    p.output_torque = t.load.weight + direction * t.load.friction + t.load.viscous * *w;
    settle(p, t.gear);
    return p;
  }
  return still_point(t, drive, t.load.weight);
}

DrivePoint point_at_torque(const DriveTrain& t, Drive drive, Torque output) {
  DriveTrain with = t;
  with.load = {.weight = output, .friction = {}, .viscous = {}};
  return operating_point(with, drive);
}

DrivePoint most_power(const DriveTrain& t, Drive drive) {
  check(t, drive.duty);
  const double s = drive.duty >= 0.0 ? 1.0 : -1.0;
  const Voltage behind = drive.source * std::abs(drive.duty) - t.motor.free_current * total_resistance(t, drive.duty);
  if (behind.si <= 0.0) return point_at_speed(t, drive, {});
  return point_at_speed(t, drive, s * 0.5 * (behind / k_at_output(t)));
}

DrivePoint most_efficient(const DriveTrain& t, Drive drive) {
  check(t, drive.duty);
  const double s = drive.duty >= 0.0 ? 1.0 : -1.0;
  const Resistance r = total_resistance(t, drive.duty);
  const Voltage u = drive.source * std::abs(drive.duty);
  if ((u - t.motor.free_current * r).si <= 0.0) return point_at_speed(t, drive, {});
  const Current i = {std::sqrt((t.motor.free_current * u / r).si)};
  return point_at_speed(t, drive, s * ((u - r * i) / k_at_output(t)));
}

std::optional<double> duty_for(const DriveTrain& t, Voltage source, AngularSpeed output) {
  check(t, 0.0);
  if (output.si == 0.0) return std::nullopt;
  const int direction = output.si > 0.0 ? 1 : -1;
  const Torque load = t.load.weight + direction * t.load.friction + t.load.viscous * output;
  const Torque at_motor = gear_factor(t.gear, load, direction) * load / t.gear.ratio;
  const Current i = at_motor / t.motor.k + direction * t.motor.free_current;
  return duty_for(t, source, output, i);
}

std::optional<double> duty_for(const DriveTrain& t, Voltage source, AngularSpeed output, Current i) {
  // d·E = (Rm + d²·Rs)·I + k·N·ω: a quadratic in d; the smaller root goes over into the one without Rs.
  const Voltage needed = (t.motor.winding + t.driver + t.leads) * i + k_at_output(t) * output;
  const double a = (t.before_driver * i).si;
  const double root = source.si * source.si - 4.0 * a * needed.si;
  if (source.si <= 0.0 || root < 0.0) return std::nullopt;
  const double d = 2.0 * needed.si / (source.si + std::sqrt(root));
  if (std::abs(d) > 1.0) return std::nullopt;
  return d;
}

}  // namespace ringout::physics
