#include "prove/expectation.h"

#include <algorithm>
#include <cmath>

#include "prove/bump_plan.h"
#include "prove/response.h"

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

// Means of the current over the start and over what follows it.
class CurrentParts {
 public:
  explicit CurrentParts(double split_s) : split_s_(split_s) {}
  void add(double t, double amperes) {
    Part& part = t <= split_s_ ? start_ : later_;
    part.sum += amperes;
    part.count += 1.0;
  }
  [[nodiscard]] double start() const { return start_.mean(); }
  [[nodiscard]] double later() const { return later_.mean(); }

 private:
  struct Part {
    double sum = 0.0;
    double count = 0.0;
    [[nodiscard]] double mean() const { return count > 0.0 ? std::max(0.0, sum / count) : 0.0; }
  };
  double split_s_;
  Part start_, later_;
};

}  // namespace

Expected expected_with(const robot::Robot& robot, const robot::Output& o, const robot::MotorDevice& motor,
                       const Drive& drive, Way way) {
  const robot::Mechanism& m = *o.mechanism;
  const MotorFigures f = motor_figures(robot, o, motor);
  const double n = m.gear_ratio;
  const double e = std::max(m.gear_efficiency, 0.05);
  const double k = f.constant.si;
  const double ohms_in_all = f.resistance.si + robot.port_of(o.port).on_resistance.si + o.wire.loop().si;
  // The gear loses on what goes through it to the load; the rotor's own inertia and drag do not go through it.
  const double inertia = n * n * motor.rotor_inertia.si + m.inertia.si / e;
  const double weight = (way == Way::positive ? f.gravity.si : -f.gravity.si) / e;
  const double dry = m.friction.si / e + n * k * motor.free_current.si;
  const double slope_s = drive.slope_per_s > 0.0 ? drive.level / drive.slope_per_s : 0.0;
  Expected out;
  double w = 0.0;
  double counted = 0.0;
  CurrentParts parts(slope_s + start_window_s);
  double t = 0.0;
  while (t < drive.driven_s + coast_s) {
    const double level = level_at(drive, t);
    const bool driven = t < drive.driven_s;
    const double pull = driven ? n * k / ohms_in_all : 0.0;
    const double damping = m.viscous.si / e + pull * k * n;
    const bool held = m.self_locking && w == 0.0 && pull * level * drive.volts < dry;
    w = held ? 0.0 : next_speed(w, pull * level * drive.volts - weight, damping, dry, inertia);
    out.shaft_rad += w * step_s;
    const double amperes = level * (level * drive.volts - k * n * w) / ohms_in_all;
    if (driven) parts.add(t, amperes);
    if (driven && t >= slope_s) {
      out.amperes += amperes;
      counted += 1.0;
    }
    if (!driven && w == 0.0) break;
    t += step_s;
  }
  if (counted > 0.0) out.amperes /= counted;
  out.amperes = std::max(out.amperes, 0.0);
  out.start_amperes = parts.start();
  out.running_amperes = parts.later();
  out.stalled_amperes = drive.level * drive.level * drive.volts / ohms_in_all;
  // A motor that the drawing says would not move may move all the same; leave it room.
  const double unloaded = drive.level * drive.volts / (k * n) * drive.driven_s;
  out.shaft_rad = std::max(out.shaft_rad, 0.1 * unloaded);
  return out;
}

Expected expected_answer(const robot::Robot& robot, const robot::Output& output, const Drive& drive, Way way) {
  const robot::Device& device = robot.device_of(output.device);
  if (const auto* motor = device.as<robot::MotorDevice>(); motor != nullptr && output.mechanism) {
    return expected_with(robot, output, *motor, drive, way);
  }
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

Expected expected_running_free(const robot::Robot& robot, const robot::Output& output, const Drive& drive) {
  robot::Output free = output;
  robot::Mechanism& m = *free.mechanism;
  m.inertia = {};
  m.friction = {};
  m.viscous = {};
  m.lifted = {};
  return expected_answer(robot, free, drive, Way::positive);
}

namespace {

double battery_ohms(const robot::Robot& robot) {
  const auto* battery = robot.device_of(robot.battery.device).as<robot::BatteryDevice>();
  return robot.battery.wire.loop().si + (battery != nullptr ? battery->internal.si : 0.0);
}

double protection_ohms(const robot::Robot& robot, const robot::Protection& p) {
  const auto* device = robot.device_of(p.device).as<robot::ProtectionDevice>();
  return device != nullptr ? device->cold.si + p.wire.loop().si : 0.0;
}

}  // namespace

double drawn_source_ohms(const robot::Robot& robot) {
  double ohms = battery_ohms(robot);
  for (const robot::Protection& p : robot.protections) {
    if (p.fed_from != "battery" && p.fed_from != robot.battery.name) continue;
    ohms += protection_ohms(robot, p);
    break;
  }
  return std::max(ohms, 1e-3);
}

double drawn_common_ohms(const robot::Robot& robot, const robot::Output& output) {
  const std::vector<const robot::Protection*> boards = robot.feed_chain(robot.board_fed_by);
  double ohms = battery_ohms(robot);
  for (const robot::Protection* p : robot.feed_chain(output.fed_by)) {
    if (std::find(boards.begin(), boards.end(), p) != boards.end()) ohms += protection_ohms(robot, *p);
  }
  return std::max(ohms, 1e-3);
}

double shorted_amperes(const robot::Robot& robot, const robot::Output& output, const robot::BoardPort& port,
                       const Drive& drive) {
  const double ohms = std::max(port.on_resistance.si + output.wire.loop().si + drawn_source_ohms(robot), 1e-3);
  const double through = drive.volts / ohms;
  const double limit = port.current_limit.si;
  return drive.level * (limit > 0.0 ? std::min(through, limit) : through);
}

HeldBack held_back(const robot::Robot& robot, const robot::Output& output, const Drive& drive, Way way) {
  const MotorFigures f = motor_figures(robot, output);
  robot::Output rubbing = output;
  robot::Mechanism& m = *rubbing.mechanism;
  const double ohms = f.resistance.si + robot.port_of(output.port).on_resistance.si + output.wire.loop().si;
  const double standing =
      m.gear_ratio * f.constant.si * drive.level * drive.volts / ohms * std::max(m.gear_efficiency, 0.05);
  const double room = std::max(0.0, standing - m.friction.si);
  const Expected drawn = expected_answer(robot, output, drive, way);
  HeldBack held;
  for (std::size_t i = 0; i < HeldBack::steps; ++i) {
    m.friction = output.mechanism->friction + newton_metres(room * static_cast<double>(i) / (HeldBack::steps - 1));
    const Expected e = expected_answer(robot, rubbing, drive, way);
    held.share[i] = std::min(1.0, e.shaft_rad / std::max(drawn.shaft_rad, 1e-9));
    held.amperes[i] = e.amperes;
  }
  return held;
}

double amperes_at(const HeldBack& held, double share) {
  if (share >= held.share.front()) return held.amperes.front();
  for (std::size_t i = 1; i < HeldBack::steps; ++i) {
    if (share < held.share[i]) continue;
    const double along = (held.share[i - 1] - share) / std::max(held.share[i - 1] - held.share[i], 1e-9);
    return held.amperes[i - 1] + along * (held.amperes[i] - held.amperes[i - 1]);
  }
  return held.amperes.back();
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
