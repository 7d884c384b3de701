#include "prove/bump_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "physics/motor.h"

namespace ringout::prove {

namespace {

using robot::Mechanism;
using robot::MotorDevice;
using robot::Output;
using robot::Robot;

constexpr double level_margin = 1.3;         // over the level that just breaks the least eager motor away
constexpr double static_over_coulomb = 1.3;  // breakaway torque over the drawn sliding friction, usual upper figure
constexpr double friction_counted = 0.5;     // share of the drawn friction that is trusted to stop a coasting load
constexpr double clearance_used = 0.95;      // share of the stated clearance that may be used at all
constexpr double least_level = 0.15;         // current must rise above the sense's step, even for the most eager robot
constexpr double visible_level = 0.45;       // below this a person hardly sees a lamp or hears a pump
constexpr int slope_permille_per_ms = 25;
constexpr double shortened_to = 0.75;  // share of the duration that covering every motor in every gear must leave
constexpr int longest_ms = 300;
constexpr double longest_watch_ms = 2000;

// Two planned pairs where there is room, one and a look where there is not.
struct Pairs {
  int planned;
  int allowed;
  int least_ms;  // a shorter bump hardly leaves the backlash
};
constexpr Pairs pair_choices[] = {{2, 4, 120}, {2, 3, 120}, {1, 2, 70}};

const MotorDevice* motor_of(const Robot& robot, const Output& output) {
  return robot.device_of(output.device).as<MotorDevice>();
}

bool is_bridge_motor(const Output& o) {
  return o.kind == robot::PointKind::bridge_motor && o.mechanism.has_value();
}

const robot::BatteryDevice* battery_of(const Robot& robot) {
  return robot.device_of(robot.battery.device).as<robot::BatteryDevice>();
}

// Mechanism's unit per radian of the output shaft.
double unit_per_radian(const Mechanism& m) {
  return m.travel_is_length && m.radius ? m.radius->si : 1.0;
}

struct Motion {
  double speed = 0.0;  // output shaft, rad/s
  double coast = 0.0;  // rad; infinite where nothing is sure to stop it
};

// The equations at the head of bump_plan.h.
Motion worst_motion(const Robot& robot, const Output& output, const MotorDevice& motor, double level, Voltage full) {
  const MotorFigures f = motor_figures(robot, output, motor);
  const Mechanism& m = *output.mechanism;
  const double n = m.gear_ratio;
  const double k = f.constant.si;
  const double helped = f.resistance.si * f.gravity.si / (n * k);
  const double w = (level * full.si + helped) / (k * n);
  const double motor_drag = n * k * motor.free_current.si;
  const double falls = m.self_locking ? 0.0 : f.gravity.si;
  const double stops = friction_counted * (m.friction.si + motor_drag) - falls;
  const double coast = stops > 0.0 ? f.inertia.si * w * w / (2.0 * stops) : std::numeric_limits<double>::infinity();
  return {w, coast};
}

double reach_of_half(const Robot& robot, const Output& output, const MotorDevice& motor, const BumpPlan& plan,
                     Voltage full) {
  const double level = plan.level_permille / 1000.0;
  const Motion motion = worst_motion(robot, output, motor, level, full);
  const double slope_s = plan.level_permille / static_cast<double>(plan.slope_permille_per_ms) / 1000.0;
  const double driven_s = plan.duration_ms / 1000.0 + slope_s;
  return unit_per_radian(*output.mechanism) * (motion.speed * driven_s + motion.coast);
}

double reach_of_half(const Robot& robot, const Output& output, const BumpPlan& plan, Voltage full) {
  return reach_of_half(robot, output, *motor_of(robot, output), plan, full);
}

// The motors of this robot, each kind once.
std::vector<const robot::Device*> motors_of(const Robot& robot) {
  std::vector<const robot::Device*> all;
  for (const Output& o : robot.outputs) {
    if (!is_bridge_motor(o)) continue;
    const robot::Device* device = &robot.device_of(o.device);
    if (std::find(all.begin(), all.end(), device) == all.end()) all.push_back(device);
  }
  return all;
}

// Which motors may be in a gear for the clearances to hold.
enum class Motors { as_drawn, any_of_this_robot };

bool is_bounded(const Output& o) {
  return is_bridge_motor(o) && o.mechanism->travel.has_value();
}

struct Tightest {
  const Output* output = nullptr;
  double share = 0.0;  // worst reach over usable clearance
};

Tightest tightest(const Robot& robot, const BumpPlan& plan, Voltage full, Motors motors) {
  Tightest worst;
  for (const Output& o : robot.outputs) {
    if (!is_bounded(o)) continue;
    const double usable = clearance_used * o.mechanism->bump_clearance;
    double half = reach_of_half(robot, o, plan, full);
    if (motors == Motors::any_of_this_robot) {
      for (const robot::Device* d : motors_of(robot)) {
        half = std::max(half, reach_of_half(robot, o, *d->as<MotorDevice>(), plan, full));
      }
    }
    const double reach = plan.pairs_allowed * half;
    const double share = usable > 0.0 ? reach / usable : std::numeric_limits<double>::infinity();
    if (worst.output == nullptr || share > worst.share) worst = {&o, share};
  }
  return worst;
}

std::string amount(const Mechanism& m, double si) {
  if (!std::isfinite(si)) return "an unlimited distance";
  return m.travel_is_length ? fmt::format("{:.1f} mm", si * 1e3) : fmt::format("{:.1f} degrees", si * 180.0 / pi);
}

int round_up(double value) {
  return static_cast<int>(std::ceil(value));
}

// The level that breaks away every motor drawn, and who asks for it; and the highest that every output allows.
struct LevelWish {
  double level = least_level;
  const Output* asked_by = nullptr;
  double cap = 1.0;
  const Output* capped_by = nullptr;
  bool anything_to_see = false;  // an output that only a person's eyes or ears can prove
};

LevelWish wished_level(const Robot& robot) {
  LevelWish wish;
  for (const Output& o : robot.outputs) {
    if (o.max_level < wish.cap) {
      wish.cap = o.max_level;
      wish.capped_by = &o;
    }
    if (o.kind == robot::PointKind::on_off) wish.anything_to_see = true;
    if (!is_bridge_motor(o)) continue;
    const double level = level_margin * motor_figures(robot, o).breakaway_level;
    if (level > wish.level) {
      wish.level = level;
      wish.asked_by = &o;
    }
  }
  return wish;
}

// The longest duration whose worst case stays within every clearance, with the most pairs that leave it long enough.
bool choose_duration(const Robot& robot, Voltage full, Motors motors, BumpPlan& plan) {
  for (const Pairs& pairs : pair_choices) {
    plan.pairs_planned = pairs.planned;
    plan.pairs_allowed = pairs.allowed;
    for (plan.duration_ms = longest_ms; plan.duration_ms >= pairs.least_ms; plan.duration_ms -= 5) {
      if (tightest(robot, plan, full, motors).share <= 1.0) return true;
    }
    plan.duration_ms = pairs.least_ms;
  }
  return false;
}

// Covers every motor of this robot in every gear as well, where that costs no pair and little of the duration.
bool choose_duration_and_motors(const Robot& robot, Voltage full, BumpPlan& plan) {
  if (!choose_duration(robot, full, Motors::as_drawn, plan)) return false;
  BumpPlan wider = plan;
  const bool fits = choose_duration(robot, full, Motors::any_of_this_robot, wider);
  if (fits && wider.pairs_allowed == plan.pairs_allowed && wider.duration_ms >= shortened_to * plan.duration_ms) {
    plan = wider;
  }
  return true;
}

// The wish may be the least level that can be measured at all, and the cap the whole supply: then no output stands for
// it.
std::string level_conflict(const LevelWish& wish) {
  const std::string needs =
      wish.asked_by != nullptr
          ? fmt::format("{} needs a level of {:.0f} % to break away", wish.asked_by->name, wish.level * 100.0)
          : fmt::format("a bump needs a level of {:.0f} % to be measured", wish.level * 100.0);
  if (wish.capped_by == nullptr) {
    return needs + ", and no output can have more than 100 %: prove that one by hand, or draw the motor that is there";
  }
  return fmt::format(
      "{}, and {} allows no more than {:.0f} %: any device may be on any port, so no level suits both; unplug one of "
      "them and prove the others first",
      needs, wish.capped_by->name, wish.cap * 100.0);
}

// A visible level if there is something to see and room for it, else one that just breaks every motor away.
void choose_level(const Robot& robot, Voltage full, BumpPlan& plan) {
  const LevelWish wish = wished_level(robot);
  if (wish.anything_to_see && visible_level > wish.level && visible_level <= wish.cap) {
    plan.level_permille = round_up(visible_level * 1000.0);
    if (choose_duration_and_motors(robot, full, plan)) return;
  }
  plan.level_permille = std::min(round_up(wish.level * 1000.0), static_cast<int>(wish.cap * 1000.0));
  (void)choose_duration_and_motors(robot, full, plan);
  if (wish.level <= wish.cap) return;
  plan.conflicts.push_back(level_conflict(wish));
}

Reach reach_with_motors(const Robot& robot, const Output& o, const BumpPlan& plan, Voltage full) {
  Reach reach{.output = o.name,
              .clearance = o.mechanism->bump_clearance,
              .worst = plan.pairs_allowed * reach_of_half(robot, o, plan, full)};
  for (const robot::Device* d : motors_of(robot)) {
    const double worst = plan.pairs_allowed * reach_of_half(robot, o, *d->as<MotorDevice>(), plan, full);
    (worst <= reach.clearance ? reach.covered : reach.not_covered).push_back({d->name, worst});
  }
  return reach;
}

void explain_reaches(const Robot& robot, Voltage full, BumpPlan& plan) {
  for (const Output& o : robot.outputs) {
    if (!is_bounded(o)) continue;
    const Mechanism& m = *o.mechanism;
    const double worst = plan.pairs_allowed * reach_of_half(robot, o, plan, full);
    plan.reaches.push_back(reach_with_motors(robot, o, plan, full));
    if (m.bump_clearance <= 0.0) {
      plan.conflicts.push_back(fmt::format(
          "{} has end stops but no bump_clearance: say how much room to both stops it is given before proving",
          o.name));
    } else if (!std::isfinite(worst)) {
      plan.conflicts.push_back(
          fmt::format("{} is not sure to stop when its motor is off ({} N*m of friction against its weight): block or "
                      "unload it, and unplug it while the others are proved",
                      o.name, m.friction.si));
    } else if (worst > m.bump_clearance) {
      plan.conflicts.push_back(
          fmt::format("bumps strong enough to break every motor away ({:.1f} % for {} ms, {} times) could carry {} {}, "
                      "and its stated bump_clearance is {}: give it more room, or unplug it while the others are "
                      "proved",
                      plan.level_permille / 10.0, plan.duration_ms, plan.pairs_allowed, o.name, amount(m, worst),
                      amount(m, m.bump_clearance)));
    }
  }
}

// Until the longest-coasting motor drawn has come to rest, whatever it is bumped from.
void choose_watch(const Robot& robot, Voltage full, BumpPlan& plan) {
  double longest_s = 0.2;
  for (const Output& o : robot.outputs) {
    if (!is_bridge_motor(o)) continue;
    const Motion motion = worst_motion(robot, o, *motor_of(robot, o), plan.level_permille / 1000.0, full);
    // Constant retardation from w to rest over the way a takes 2 a / w.
    if (std::isfinite(motion.coast)) longest_s = std::max(longest_s, 2.0 * motion.coast / motion.speed);
  }
  plan.watch_after_ms = static_cast<int>(std::min(1000.0 * longest_s + 100.0, longest_watch_ms));
}

// Enough for the fastest drawn motor, so that an allowance ends only what is stronger than anything drawn.
void choose_allowances(const Robot& robot, Voltage full, BumpPlan& plan) {
  double counts = 200.0;
  for (const robot::Input& in : robot.inputs) {
    const Output* o = robot.output(in.senses_output);
    const auto* encoder = robot.device_of(in.device).as<robot::EncoderDevice>();
    if (encoder == nullptr || o == nullptr || !is_bridge_motor(*o)) continue;
    const double radians = reach_of_half(robot, *o, plan, full) / unit_per_radian(*o->mechanism);
    const double turns = radians / (2.0 * pi) * (in.on_motor_shaft ? o->mechanism->gear_ratio : 1.0);
    const double most = turns * 4.0 * encoder->lines_per_revolution;
    if (std::isfinite(most)) counts = std::max(counts, 1.5 * most);
  }
  plan.encoder_allowance = static_cast<std::uint16_t>(std::min(counts, 60000.0));
  plan.analogue_allowance = static_cast<std::uint16_t>((1U << robot.board.adc_bits) / 4U);
}

}  // namespace

std::vector<std::string> coverage_of(const Robot& robot, const BumpPlan& plan) {
  std::vector<std::string> all;
  for (const Reach& reach : plan.reaches) {
    const Output* o = robot.output(reach.output);
    if (o == nullptr) continue;
    std::string words = fmt::format("{}: goes {} at most of {}", reach.output, amount(*o->mechanism, reach.worst),
                                    amount(*o->mechanism, reach.clearance));
    std::string others;
    for (const MotorReach& m : reach.covered) {
      if (m.motor != o->device) others += (others.empty() ? "" : ", ") + m.motor;
    }
    if (!others.empty()) words += "; holds too if " + others + " were in its gear";
    for (const MotorReach& m : reach.not_covered) {
      if (m.motor == o->device) continue;
      words += fmt::format("; with {} in its gear it could go {}: only its sensor would end that", m.motor,
                           amount(*o->mechanism, m.worst));
    }
    all.push_back(std::move(words));
  }
  return all;
}

UnprovedBounds BumpPlan::bounds() const {
  return {level_permille, duration_ms, slope_permille_per_ms};
}

std::uint16_t restless_switches(std::span<const capture::Sample> quiet) {
  unsigned changed = 0;
  for (const capture::Sample& s : quiet) changed |= static_cast<unsigned>(s.switches ^ quiet.front().switches);
  return static_cast<std::uint16_t>(changed);
}

MotorFigures motor_figures(const Robot& robot, const Output& output) {
  return motor_figures(robot, output, *motor_of(robot, output));
}

MotorFigures motor_figures(const Robot& robot, const Output& output, const MotorDevice& motor) {
  const Mechanism& m = *output.mechanism;
  MotorFigures f;
  f.resistance = motor.nominal / motor.stall_current;
  const auto from_row = physics::motor_from_row({.nominal = motor.nominal,
                                                 .free_speed = motor.free_speed,
                                                 .free_current = motor.free_current,
                                                 .stall_torque = motor.stall_torque,
                                                 .stall_current = motor.stall_current});
  // The smaller constant turns faster and pulls less: the worst case for both uses.
  f.constant = from_row ? std::min(from_row->from_torque, from_row->from_speed) : motor.nominal / motor.free_speed;
  const double radius = m.radius ? m.radius->si : 0.0;
  f.gravity = newton_metres(m.lifted.si * standard_gravity.si * radius);
  f.inertia = kilogram_square_metres(m.gear_ratio * m.gear_ratio * motor.rotor_inertia.si + m.inertia.si);
  const double load = static_over_coulomb * m.friction.si + f.gravity.si;
  const double current = load / (m.gear_ratio * std::max(m.gear_efficiency, 0.05) * f.constant.si) +
                         static_over_coulomb * motor.free_current.si;
  const double ohms_in_all = f.resistance.si + robot.port_of(output.port).on_resistance.si + output.wire.loop().si;
  f.breakaway_level = current * ohms_in_all / robot.board.supply_low.si;
  return f;
}

BumpPlan plan_bumps(const Robot& robot) {
  BumpPlan plan;
  for (const robot::BoardPort* port : robot.board.of_kind(robot::PortKind::bridge)) plan.bridges.push_back(port->index);
  plan.slope_permille_per_ms = slope_permille_per_ms;
  plan.quiet_before_ms = 150;
  const robot::BatteryDevice* battery = battery_of(robot);
  const Voltage full = battery != nullptr ? std::max(battery->open_circuit_full, battery->nominal) : volts(12);
  choose_level(robot, full, plan);
  explain_reaches(robot, full, plan);
  choose_watch(robot, full, plan);
  choose_allowances(robot, full, plan);
  return plan;
}

}  // namespace ringout::prove
