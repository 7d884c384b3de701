#include "prove/expectation.h"

#include <algorithm>
#include <cmath>

#include "prove/bump_plan.h"

namespace ringout::prove {

namespace {

constexpr double step_s = 5e-4;
constexpr double coast_s = 0.4;

// One implicit step of the shaft's speed with dry friction that stops it rather than turning it back.
double next_speed(double w, double push, double damping, double dry, double inertia) {
  const double free = (inertia * w + step_s * push) / (inertia + step_s * damping);
  const double change = step_s * dry / (inertia + step_s * damping);
  if (free > change) return free - change;
  if (free < -change) return free + change;
  return 0.0;
}

double level_at(const Drive& d, double t) {
  if (t >= d.driven_s) return 0.0;
  return d.slope_per_s > 0.0 ? std::min(d.level, d.slope_per_s * t) : d.level;
}

Expected expected_motor(const robot::Robot& robot, const robot::Output& o, const Drive& drive, Way way) {
  const robot::MotorDevice& motor = *robot.device_of(o.device).as<robot::MotorDevice>();
  const robot::Mechanism& m = *o.mechanism;
  const MotorFigures f = motor_figures(robot, o);
  const double n = m.gear_ratio;
  const double e = m.gear_efficiency;
  const double k = f.constant.si;
  const double ohms_in_all = f.resistance.si + robot.port_of(o.port).on_resistance.si + o.wire.loop().si;
  const double weight = way == Way::positive ? f.gravity.si : -f.gravity.si;
  const double dry = m.friction.si + n * k * motor.free_current.si;
  const double slope_s = drive.slope_per_s > 0.0 ? drive.level / drive.slope_per_s : 0.0;
  Expected out;
  double w = 0.0;
  double counted = 0.0;
  for (double t = 0.0; t < drive.driven_s + coast_s; t += step_s) {
    const double level = level_at(drive, t);
    const bool driven = t < drive.driven_s;
    const double pull = driven ? n * e * k / ohms_in_all : 0.0;
    const double damping = m.viscous.si + pull * k * n;
    const bool held = m.self_locking && w == 0.0 && pull * level * drive.volts < dry;
    w = held ? 0.0 : next_speed(w, pull * level * drive.volts - weight, damping, dry, f.inertia.si);
    out.shaft_rad += w * step_s;
    if (driven && t >= slope_s) {
      out.amperes += level * (level * drive.volts - k * n * w) / ohms_in_all;
      counted += 1.0;
    }
    if (!driven && w == 0.0) break;
  }
  if (counted > 0.0) out.amperes /= counted;
  out.amperes = std::max(out.amperes, 0.0);
  out.stalled_amperes = drive.level * drive.level * drive.volts / ohms_in_all;
  // A motor that the drawing says would not move may move all the same; leave it room.
  const double unloaded = drive.level * drive.volts / (k * n) * drive.driven_s;
  out.shaft_rad = std::max(out.shaft_rad, 0.1 * unloaded);
  return out;
}

}  // namespace

Expected expected_answer(const robot::Robot& robot, const robot::Output& output, const Drive& drive, Way way) {
  const robot::Device& device = robot.device_of(output.device);
  if (device.as<robot::MotorDevice>() != nullptr && output.mechanism) return expected_motor(robot, output, drive, way);
  Expected out;
  if (const auto* load = device.as<robot::OnOffDevice>()) {
    const double ohms = load->nominal.si / std::max(load->current.si, 1e-6);
    // A resistive load takes its full current for the pulse's share of the time; an inductive one takes less.
    const double tau = load->inrush_time.si;
    const double driven = std::max(drive.driven_s, 1e-3);
    const double inrush =
        1.0 + (load->inrush_factor - 1.0) * tau * (1.0 - std::exp(-driven / std::max(tau, 1e-6))) / driven;
    out.amperes = inrush * drive.level * drive.volts / ohms;
    out.stalled_amperes = out.amperes;
  }
  return out;
}

double steps_per_radian(const robot::Robot& robot, const robot::Input& input) {
  const robot::Output* o = robot.output(input.senses_output);
  if (input.senses != robot::SensesWhat::output_motion || o == nullptr || !o->mechanism) return 0.0;
  const double gear = input.on_motor_shaft ? o->mechanism->gear_ratio : 1.0;
  const double sign = input.reversed ? -1.0 : 1.0;
  const robot::Device& device = robot.device_of(input.device);
  if (const auto* encoder = device.as<robot::EncoderDevice>()) {
    return sign * gear * 4.0 * encoder->lines_per_revolution / (2.0 * pi);
  }
  const auto* analogue = device.as<robot::AnalogueDevice>();
  if (analogue == nullptr || analogue->high_value == analogue->low_value) return 0.0;
  const double volts_per_value =
      (analogue->at_high.si - analogue->at_low.si) / (analogue->high_value - analogue->low_value);
  const double value_per_radian =
      analogue->measures_distance ? (o->mechanism->radius ? o->mechanism->radius->si : 0.0) : gear;
  const double steps_per_volt =
      std::pow(2.0, robot.board.adc_bits) / robot.board.logic.si / robot.port_of(input.port).divider_ratio;
  return sign * volts_per_value * value_per_radian * steps_per_volt;
}

double slack_steps(const robot::Robot& robot, const robot::Input& input) {
  const robot::Output* o = robot.output(input.senses_output);
  if (o == nullptr || !o->mechanism) return 0.0;
  return std::abs(steps_per_radian(robot, input)) * o->mechanism->backlash.si;
}

}  // namespace ringout::prove
