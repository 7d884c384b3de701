// Motors, gears and other loads: their figures, what they can move, how hot they get.
#include <algorithm>
#include <cmath>

#include "desk/device_models.h"
#include "desk/rules/judge.h"
#include "physics/drive_motion.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;

constexpr double most_disagreement = 0.1;  // of a row's two torque constants
constexpr double much_faster = 5.0;
constexpr double little_margin = 1.5;
constexpr Temperature beyond_saying = celsius(500);  // no winding comes through that: how much hotter tells nothing

// What the gear's output shaft takes to begin to move, and what the motor gives there held still.
struct StartTorque {
  Torque needed;
  Torque given;
};

std::optional<StartTorque> start_torque(const Judge& j, const MotorCurve& curve) {
  const robot::Output& o = j.robot.outputs[curve.output];
  if (!o.mechanism) return std::nullopt;
  const robot::Mechanism& m = *o.mechanism;
  Torque needed = m.friction;
  if (m.radius) needed = needed + m.lifted * standard_gravity * *m.radius;
  const Current limit = j.port(o.port).current_limit;
  const Current most = std::min(limit, curve.stall_current) - curve.free_current;  // its own friction takes the rest
  return StartTorque{needed, std::max(Torque{}, curve.k * most * m.gear_ratio * m.gear_efficiency)};
}

void cannot_move(Judge& j) {
  for (const MotorCurve& curve : j.report.motors) {
    const auto torque = start_torque(j, curve);
    if (!torque || torque->given > torque->needed) continue;
    const robot::Output& o = j.robot.outputs[curve.output];
    j.find(o.at.of("device"), fmt::format("{} gives {:.2f} N*m at its gear's output, and {:.2f} N*m are needed to move",
                                          o.name, torque->given.si, torque->needed.si));
  }
}

void little_torque(Judge& j) {
  for (const MotorCurve& curve : j.report.motors) {
    const auto torque = start_torque(j, curve);
    if (!torque || torque->given <= torque->needed || torque->given > torque->needed * little_margin) continue;
    const robot::Output& o = j.robot.outputs[curve.output];
    j.find(o.at.of("device"),
           fmt::format("{} gives {:.2f} N*m at its gear's output, only {:.0f} % more than it needs to move", o.name,
                       torque->given.si, (torque->given / torque->needed - 1.0) * 100.0));
  }
}

void row_inconsistent(Judge& j) {
  for (const MotorCurve& curve : j.report.motors) {
    if (curve.constant_disagreement <= most_disagreement) continue;
    const robot::Output& o = j.robot.outputs[curve.output];
    j.find(o.at.of("device"), fmt::format("stall and free speed of {} give torque constants that differ by {:.0f} %",
                                          o.device, curve.constant_disagreement * 100.0));
  }
}

// Asked speed over the speed of the output without any load, at the highest level.
std::optional<double> asked_over_free(const Judge& j, const MotorCurve& curve) {
  const robot::Output& o = j.robot.outputs[curve.output];
  if (!o.mechanism || !o.mechanism->asked_speed) return std::nullopt;
  const robot::Mechanism& m = *o.mechanism;
  const double way = m.travel_is_length && m.radius ? m.radius->si : 1.0;
  const double free = curve.free_speed.si / m.gear_ratio * way;
  if (free <= 0.0) return std::nullopt;
  return *m.asked_speed / free;
}

void contradicts_speed(Judge& j) {
  for (const MotorCurve& curve : j.report.motors) {
    const auto share = asked_over_free(j, curve);
    if (!share || *share <= 1.0) continue;
    const robot::Output& o = j.robot.outputs[curve.output];
    j.find(o.at.of("mechanism.gear_ratio"),
           fmt::format("behind a gear of {:g} {} reaches {:.0f} % of the asked speed even without load",
                       o.mechanism->gear_ratio, o.name, 100.0 / *share));
  }
}

void faster_than_asked(Judge& j) {
  for (const MotorCurve& curve : j.report.motors) {
    const auto share = asked_over_free(j, curve);
    if (!share || *share * much_faster >= 1.0) continue;
    const robot::Output& o = j.robot.outputs[curve.output];
    j.find(o.at.of("mechanism.gear_ratio"), fmt::format("behind a gear of {:g} {} is {:.1f} times as fast as asked",
                                                        o.mechanism->gear_ratio, o.name, 1.0 / *share));
  }
}

void speed_missed(Judge& j) {
  for (const CaseReport& c : j.report.cases) {
    if (c.unsolved) continue;
    for (const OutputFigures& f : c.outputs) {
      if (!f.speed_missed) continue;
      const robot::Output& o = j.robot.outputs[f.output];
      const Span place = c.origin == CaseOrigin::robot_file ? c.place : o.at.of("mechanism.asked_speed");
      const std::string reached = f.travel_speed ? fmt::format("{:.3g} m/s", f.travel_speed->si)
                                                 : fmt::format("{:.3g} rad/s", f.output_speed.si);
      j.find(place, fmt::format("in \"{}\" {} does not reach the speed asked for, only {}", c.name, o.name, reached));
    }
  }
}

void stall_outlasts(Judge& j) {
  for (const BranchStall& stall : j.report.branch_stalls) {
    if (!stall.winding_limit_after || !std::isfinite(stall.winding_limit_after->si)) continue;
    const Time opens = stall.first_to_open ? stall.trip.latest : Time{INFINITY};
    if (opens <= *stall.winding_limit_after) continue;
    const robot::Output& o = j.robot.outputs[stall.output];
    j.find(o.at.of("fed_by"),
           fmt::format("{} held still reaches its winding's limit after {:.0f} s, and no protection is "
                       "sure to have opened by then",
                       o.name, stall.winding_limit_after->si));
  }
}

enum class Reached { in_shown_cycles, in_the_end };

void too_hot(Judge& j, Reached when) {
  const bool soon = when == Reached::in_shown_cycles;
  const auto words = [](Temperature t) {
    if (!std::isfinite(t.si)) return std::string("so hot that its copper's loss runs away with it");
    return t > beyond_saying ? fmt::format("beyond {:.0f} °C", beyond_saying.si - 273.15)
                             : fmt::format("to {:.0f} °C", t.si - 273.15);
  };
  for (const DutyFigures& duty : j.report.duties) {
    if (duty.unsolved) continue;
    for (const MotorHeatFigures& heat : duty.motors) {
      if (!heat.stated) continue;
      const bool in_shown = heat.after_cycles > heat.limit;
      if (soon ? !in_shown : in_shown || heat.settled <= heat.limit) continue;
      const robot::Output& o = j.robot.outputs[heat.output];
      const Temperature t = soon ? heat.after_cycles : heat.settled;
      j.find(o.at.of("device"), fmt::format("repeating \"{}\" brings the winding of {} {}{}, and {:.0f} °C "
                                            "is its limit",
                                            j.robot.duty_cycles[duty.cycle].name, o.name, words(t),
                                            soon ? fmt::format(" in {} cycles", duty.cycles_shown) : " in the end",
                                            heat.limit.si - 273.15));
    }
  }
}

void no_heat(Judge& j) {
  for (const robot::Output& o : j.robot.outputs) {
    const auto* motor = j.motor_of(o);
    if (motor == nullptr || motor->heat) continue;
    j.find(o.at.of("device"), fmt::format("the catalogue does not say how {} gets warm", o.device));
  }
}

void device_voltage(Judge& j) {
  for (const robot::Output& o : j.robot.outputs) {
    const robot::Device& device = *j.device(o.device);
    const Voltage most = j.most_supply(o);
    if (!device.voltage_max || most <= *device.voltage_max) continue;
    j.find(o.at.of("device"),
           fmt::format("{} gets up to {:g} V, and {} bears {:g} V", o.name, most.si, o.device, device.voltage_max->si));
  }
}

void device_voltage_low(Judge& j) {
  for (std::size_t o = 0; o < j.robot.outputs.size(); ++o) {
    const robot::Output& output = j.robot.outputs[o];
    const robot::Device& device = *j.device(output.device);
    if (!device.voltage_min || device.as<robot::MotorDevice>() != nullptr) continue;
    for (const CaseReport& c : j.report.cases) {
      const OutputFigures* at = j.figures(c, o);
      if (c.unsolved || at == nullptr || at->supply >= *device.voltage_min || output.fed_by.empty()) continue;
      j.find(output.at.of("device"), fmt::format("in \"{}\" {} gets {:.1f} V, and {} needs {:g} V", c.name, output.name,
                                                 at->supply.si, output.device, device.voltage_min->si));
      break;
    }
  }
}

void holds_itself(Judge& j) {
  for (const robot::Output& o : j.robot.outputs) {
    const auto* motor = j.motor_of(o);
    if (motor == nullptr || !o.mechanism || !o.mechanism->self_locking) continue;
    const auto row = motor_row(*motor);
    const physics::Load load = load_of(*o.mechanism);
    if (!row || load.weight.si <= 0.0) continue;
    physics::Gear gear = gear_of(*o.mechanism);
    gear.back_efficiency.reset();  // what its efficiency says, not what is drawn
    const physics::DriveTrain train{.motor = motor_at(*motor, row->constants, j.robot.ambient),
                                    .gear = gear,
                                    .driver = {},
                                    .leads = {},
                                    .before_driver = {},
                                    .load = load};
    if (physics::lift_figures(train).when_cut == physics::WhenCut::stays) continue;
    const double back = physics::back_efficiency(gear);
    const Torque own = train.motor.k * train.motor.free_current * gear.ratio;
    j.find(
        o.at.of("mechanism.self_locking"),
        fmt::format("{} is drawn as self-locking, but its load pulls back through the gear with {:.3g} N*m, and motor "
                    "and mechanism hold {:.3g} N*m",
                    o.name, (back * load.weight).si, (back * load.friction + own).si));
  }
}

void gear_up(Judge& j) {
  for (const robot::Output& o : j.robot.outputs) {
    if (!o.mechanism || o.mechanism->gear_ratio >= 1.0) continue;
    j.find(o.at.of("mechanism.gear_ratio"),
           fmt::format("a gear ratio of {:g} makes the output of {} faster than its motor", o.mechanism->gear_ratio,
                       o.name));
  }
}

constexpr Rule motor_rules[] = {
    {"motor.cannot-move-load", error, mechanics, "a motor that cannot move what it should",
     "It stands still at full current and gets hot.", "Take a higher gear ratio, a stronger motor or less friction.",
     Home::desk, cannot_move},
    {"motor.little-torque", warning, mechanics, "a motor with less than half as much again as it needs to move",
     "Cold grease or a tired battery is then enough to stop it.",
     "Take a higher gear ratio, a stronger motor or less friction.", Home::desk, little_torque, "1.5: common practice"},
    {"motor.row-contradicts-itself", warning, mechanics, "a data sheet row that contradicts itself",
     "Torque constants from stall and from free speed should agree within a few per cent.",
     "Look whether the stall torque is net of friction, and whether all figures are at one voltage.", Home::desk,
     row_inconsistent, "10 %: common practice; printed tolerances of motors are of that size (from memory)"},
    {"gear.contradicts-speed", error, mechanics, "a gear ratio that contradicts the asked speed",
     "Not even an unloaded motor gets there.", "Correct gear_ratio, radius or asked_speed.", Home::desk,
     contradicts_speed},
    {"gear.much-faster-than-asked", warning, mechanics, "a gear that makes the mechanism five times as fast as asked",
     "Probably a figure is wrong; if not, torque is given away.", "Correct gear_ratio, radius or asked_speed.",
     Home::desk, faster_than_asked, "five times: our choice"},
    {"gear.upside-down", note, mechanics, "a gear ratio below one",
     "The ratio is motor turns for one turn of the output; it is easily written the wrong way round.",
     "Write motor turns over output turns.", Home::desk, gear_up},
    {"motor.speed-not-reached", warning, mechanics, "an asked speed that the loaded motor does not reach",
     "The program waits for a speed that never comes.", "Ask for less, lighten the load, or gear it anew.", Home::desk,
     speed_missed},
    {"motor.stall-outlasts-protection", note, programming,
     "a motor that burns held still before any protection is sure to open", "Fuses guard wires, not windings.",
     "Let the program watch its motion and stop it; lower max_level.", Home::desk, stall_outlasts},
    {"motor.too-hot-in-cycles", error, mechanics, "a winding over its limit within a few duty cycles",
     "Its insulation fails.", "Give it pauses, lighten the load, or take a larger motor.", Home::desk,
     [](Judge& j) { too_hot(j, Reached::in_shown_cycles); },
     "the sheet's winding limit; where it states none 125 °C: common practice"},
    {"motor.too-hot-in-the-end", warning, mechanics, "a winding over its limit when the duty cycle goes on for ever",
     "Nobody notices until the day is long.", "Give it pauses, lighten the load, or take a larger motor.", Home::desk,
     [](Judge& j) { too_hot(j, Reached::in_the_end); },
     "the sheet's winding limit; where it states none 125 °C: common practice"},
    {"motor.no-heat-figures", note, mechanics, "a motor whose heat nobody stated",
     "How long it may be held still cannot then be said.", "Add the table heat from its data sheet or a measurement.",
     Home::desk, no_heat},
    {"device.voltage-too-high", error, wiring, "more voltage than a device bears",
     "It is damaged by a charged battery.", "Choose a device for this supply.", Home::desk, device_voltage},
    {"device.voltage-too-low", warning, wiring, "less voltage than a device needs",
     "It works on the bench and fails when the motors start.", "Thicken its feed, or choose another device.",
     Home::desk, device_voltage_low},
    {"lift.self-locking-doubtful", warning, mechanics,
     "a self-locking lift that its load pulls down through gear and motor",
     "By these figures it sinks when the supply is cut.",
     "Correct friction, gear_efficiency or self_locking; block the load.", Home::desk, holds_itself},
};

}  // namespace

void add_motor_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(motor_rules), std::end(motor_rules));
}

}  // namespace ringout::desk
