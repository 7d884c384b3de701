// The questions about motion: a motor with gear and load, a lift, a move.
#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "cli/calc.h"
#include "physics/drive_motion.h"
#include "physics/drive_train.h"
#include "physics/motor.h"

namespace ringout::cli {
namespace {

using namespace physics;

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

std::vector<Asked> motor_row() {
  return {
      {"nominal", Measure::voltage, "voltage of the data sheet's row", Need::optional, "12 V", Range::positive},
      {"free-speed", Measure::angular_speed, "free speed at that voltage", Need::optional, "", Range::positive},
      {"free-current", Measure::current, "current at free speed (no-load current)", Need::required},
      {"stall-torque", Measure::torque, "stall torque at that voltage", Need::optional, "", Range::positive},
      {"stall-current", Measure::current, "stall current at that voltage", Need::optional, "", Range::positive},
      {"stall-torque-is",
       Measure::number,
       "how the sheet prints it: gross (k·Is) or net of friction",
       Need::optional,
       "gross",
       Range::any,
       {"gross", "net"}},
      {"resistance", Measure::resistance, "the other kind of row: resistance between the terminals", Need::optional, "",
       Range::positive},
      {"torque-constant", Measure::motor_constant, "... with a torque constant", Need::optional, "", Range::positive},
      {"speed-constant", Measure::speed_constant, "... or a speed constant", Need::optional, "", Range::positive},
  };
}

std::vector<Row> motor_rows() {
  return {{"a row with stall figures", {{"free-speed"}, {"stall-torque"}, {"stall-current"}}},
          {"a row with the motor's constants", {{"resistance"}, {"torque-constant", "speed-constant"}}}};
}

std::vector<Asked> drive_options() {
  return {
      {"supply", Measure::voltage, "voltage that feeds the driver; default: nominal", Need::optional, "",
       Range::positive},
      {"duty", Measure::fraction, "share of the time in which the driver is on", Need::optional, "100 %",
       Range::positive},
      {"gear", Measure::number, "motor turns for one turn of the output", Need::optional, "1", Range::positive},
      {"efficiency", Measure::fraction, "of the gear, driving", Need::optional, "100 %", Range::positive},
      {"driver", Measure::resistance, "both switches of the driver", Need::optional, "0 ohm"},
      {"leads", Measure::resistance, "wires and connectors to the motor, there and back", Need::optional, "0 ohm"},
      {"source", Measure::resistance, "battery, protection and wires before the driver", Need::optional, "0 ohm"},
      {"winding", Measure::temperature, "temperature of the winding", Need::optional, "25 °C"},
  };
}

std::vector<Asked> joined(std::vector<Asked> a, const std::vector<Asked>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

Result<MotorFromRow> row_of(const Given& given) {
  if (given.has("resistance")) {
    TerminalRow row{{given.of("resistance")}, {}, {}, {given.of("free-current")}};
    if (given.has("torque-constant")) row.torque_constant = MotorConstant{given.of("torque-constant")};
    if (given.has("speed-constant")) row.speed_constant = SpeedConstant{given.of("speed-constant")};
    return motor_from_row(row);
  }
  return motor_from_row(
      MotorRow{{given.of("nominal")},
               {given.of("free-speed")},
               {given.of("free-current")},
               {given.of("stall-torque")},
               {given.of("stall-current")},
               given.text("stall-torque-is") == "net" ? StallTorque::net_of_friction : StallTorque::gross});
}

struct Setup {
  MotorFromRow row;
  DriveTrain train;
  Drive drive;
};

Result<Setup> setup_of(const Given& given, Load load) {
  const auto row = row_of(given);
  if (!row) return tl::unexpected(row.error());
  Setup out{*row, {}, {}};
  MotorConstants motor = row->constants;
  motor.winding = winding_at(motor.winding, celsius(25), {given.of("winding")});
  out.train = {motor,
               {given.of("gear"), given.of("efficiency"), {}},
               {given.of("driver")},
               {given.of("leads")},
               {given.of("source")},
               load};
  out.drive = {{given.has("supply") ? given.of("supply") : given.of("nominal")}, given.of("duty")};
  return out;
}

void add_constants(const Setup& s, Answer& answer) {
  answer.figures.push_back({"motor_constant", "motor constant k", Measure::motor_constant, s.row.constants.k.si,
                            "k = √(kT·kE): one k for torque and speed"});
  answer.figures.push_back({"winding", "winding", Measure::resistance, s.train.motor.winding.si,
                            "R = U/Is, copper at the stated temperature"});
  answer.figures.push_back(
      {"disagreement", "the row's two k differ by", Measure::fraction, s.row.disagreement, "|kT/kE − 1|"});
  if (s.row.disagreement > 0.1) {
    answer.findings.push_back(
        fmt::format("the row contradicts itself by {}: torque says {}, speed says {}. Ask the maker, or measure.",
                    shown(Measure::fraction, s.row.disagreement), shown(Measure::motor_constant, s.row.from_torque.si),
                    shown(Measure::motor_constant, s.row.from_speed.si)));
  }
}

void add_point(const DrivePoint& p, Answer& answer) {
  answer.figures.push_back(
      {"output_speed", "speed at the output", Measure::angular_speed, p.output_speed.si, "ω = (d·E − R·I)/(k·N)"});
  answer.figures.push_back(
      {"output_torque", "torque at the output", Measure::torque, p.output_torque.si, "M = η·N·k·(I − I0)"});
  answer.figures.push_back({"motor_speed", "speed of the motor", Measure::angular_speed, p.motor_speed.si, "N·ω"});
  answer.figures.push_back(
      {"motor_current", "motor current", Measure::current, p.motor_current.si, "I = M/(η·N·k) + I0"});
  answer.figures.push_back({"supply_current", "supply current", Measure::current, p.supply_current.si, "d·I"});
  answer.figures.push_back({"at_driver", "voltage at the driver", Measure::voltage, p.at_driver.si, "E − Rs·d·I"});
  answer.figures.push_back({"from_source", "power from the source", Measure::power, p.from_source.si, "E·d·I"});
  answer.figures.push_back({"delivered", "power at the output", Measure::power, p.delivered.si, "M·ω"});
  answer.figures.push_back({"heat", "heat in resistances", Measure::power, p.in_resistance.si, "R·I²"});
  answer.figures.push_back(
      {"efficiency", "efficiency", Measure::fraction, p.efficiency, "at the output / from source"});
}

const char* const drive_assumption =
    "linear motor, magnets at 25 °C, continuous current in the chopping driver, gear loss in proportion to torque, "
    "friction at rest as in motion";
const char* const drive_source = "U = R·I + k·ω, M = k·(I − I0), as in makers' catalogues and texts on drives";

Result<Answer> motor_answer(const Given& given) {
  const auto setup = setup_of(given, {{given.of("load")}, {}, {}});
  if (!setup) return tl::unexpected(setup.error());
  const Setup& s = *setup;
  Answer answer;
  add_constants(s, answer);
  const DrivePoint point = operating_point(s.train, s.drive);
  const DrivePoint stalled = point_at_speed(s.train, s.drive, {0.0});
  if (point.motion == Motion::still) {
    answer.findings.push_back(fmt::format("it does not move: the load is {}, stalled it gives {} at the output",
                                          shown(Measure::torque, given.of("load")),
                                          shown(Measure::torque, stalled.output_torque.si)));
  }
  if (point.motion == Motion::backward) {
    answer.findings.push_back(fmt::format(
        "the load of {} turns it backward: stalled it gives {} at the output; the figures are of that motion",
        shown(Measure::torque, given.of("load")), shown(Measure::torque, stalled.output_torque.si)));
  }
  add_point(point, answer);
  answer.figures.push_back(
      {"stall_current", "stalled: motor current", Measure::current, stalled.motor_current.si, "d·E/R"});
  answer.figures.push_back(
      {"stall_supply_current", "stalled: supply current", Measure::current, stalled.supply_current.si, "d²·E/R"});
  answer.figures.push_back({"stall_output_torque", "stalled: torque at the output", Measure::torque,
                            stalled.output_torque.si, "η·N·k·(Is − I0)"});
  const DrivePoint power = most_power(s.train, s.drive);
  answer.figures.push_back(
      {"most_power", "greatest power at the output", Measure::power, power.delivered.si, "at half the free speed"});
  answer.figures.push_back({"most_power_speed", "... at output speed", Measure::angular_speed, power.output_speed.si,
                            "½·(d·E − R·I0)/(k·N)"});
  const DrivePoint best = most_efficient(s.train, s.drive);
  answer.figures.push_back(
      {"most_efficiency", "greatest efficiency", Measure::fraction, best.efficiency, "(1 − √(I0·R/(d·E)))²·η"});
  answer.figures.push_back(
      {"most_efficiency_torque", "... at output torque", Measure::torque, best.output_torque.si, "I = √(I0·d·E/R)"});
  answer.assumptions = {drive_assumption};
  answer.sources = {drive_source};
  return answer;
}

Result<Answer> lift_answer(const Given& given) {
  const double weight = given.of("mass") * standard_gravity.si * given.of("radius");
  const auto setup = setup_of(given, {{weight}, {given.of("friction")}, {}});
  if (!setup) return tl::unexpected(setup.error());
  const Setup& s = *setup;
  Answer answer;
  answer.figures.push_back({"weight_torque", "torque of the weight", Measure::torque, weight, "m·g·r, at the output"});
  const DrivePoint up = operating_point(s.train, s.drive);
  const bool rises = up.motion == Motion::forward;
  if (!rises) answer.findings.emplace_back("it does not rise at this supply and duty");
  answer.figures.push_back(
      {"speed_up", "speed going up", Measure::speed, rises ? up.output_speed.si * given.of("radius") : 0.0, "ω·r"});
  answer.figures.push_back(
      {"current_up", "motor current going up", Measure::current, up.motor_current.si, "I = (W + F)/(η·N·k) + I0"});
  answer.figures.push_back(
      {"supply_current_up", "supply current going up", Measure::current, up.supply_current.si, "d·I"});
  answer.figures.push_back(
      {"efficiency_up", "efficiency going up", Measure::fraction, up.efficiency, "at the output / from source"});
  const LiftFigures lift = lift_figures(s.train);
  answer.figures.push_back({"lets_go_below", "least current that holds it", Measure::current, lift.lets_go_below.si,
                            "(η_back·(W − F)/N)/k − I0"});
  answer.figures.push_back(
      {"holding_frictionless", "... without any friction", Measure::current, lift.frictionless.si, "W/(N·k)"});
  answer.figures.push_back(
      {"rises_above", "it rises above", Measure::current, lift.rises_above.si, "((W + F)/(η·N))/k + I0"});
  const bool falls = lift.when_cut == WhenCut::falls;
  answer.findings.push_back(falls ? "it FALLS when the supply is cut: block or lower the load before hands go near it"
                                  : "by these figures it stays when the supply is cut; friction changes with wear and "
                                    "oil, so block it all the same before hands go near it");
  const double radius = given.of("radius");
  answer.figures.push_back({"fall_braked", "falls, motor braked, at", Measure::speed,
                            falls ? std::abs(lift.fall_braked.si) * radius : 0.0, "settled, motor shorted"});
  answer.figures.push_back({"fall_coasting", "falls, motor open, at", Measure::speed,
                            !falls               ? 0.0
                            : lift.fall_coasting ? std::abs(lift.fall_coasting->si) * radius
                                                 : std::numeric_limits<double>::infinity(),
                            "settled; it goes on gaining where nothing but friction acts"});
  answer.assumptions = {drive_assumption, "back-driven the gear loses as much torque as driving: η_back = 2 − 1/η"};
  answer.sources = {drive_source, "standard gravity 9.80665 m/s², ISO 80000-3"};
  return answer;
}

Result<Answer> move_answer(const Given& given) {
  const double radius = given.has("radius") ? given.of("radius") : nothing;
  const auto setup = setup_of(given, {{}, {given.of("friction")}, {given.of("viscous")}});
  if (!setup) return tl::unexpected(setup.error());
  const Setup& s = *setup;
  const MovingDrive moving{s.train, {given.of("rotor")}, {given.of("inertia")}};
  Answer answer;
  const DrivePoint point = operating_point(s.train, s.drive);
  const auto start = start_up(moving, s.drive, 0.95);
  const auto add_way = [&](const std::string& id, const std::string& what, double angle, const std::string& formula) {
    answer.figures.push_back({id, what, std::isnan(radius) ? Measure::angle : Measure::length,
                              std::isnan(radius) ? angle : angle * radius, formula});
  };
  answer.figures.push_back({"output_speed", "settled speed at the output", Measure::angular_speed,
                            point.output_speed.si, "(d·E − R·I)/(k·N)"});
  if (!std::isnan(radius)) {
    answer.figures.push_back({"travel_speed", "settled speed", Measure::speed, point.output_speed.si * radius, "ω·r"});
  }
  if (!start) {
    answer.findings.emplace_back("it does not start: friction is more than the stalled motor gives");
    answer.assumptions = {drive_assumption};
    return answer;
  }
  answer.figures.push_back(
      {"start_time", "time to 95 % of it", Measure::time, start->time.si, "closed form, from rest"});
  add_way("start_way", "way to 95 % of it", start->angle.si, "closed form");
  const DrivePoint stalled = point_at_speed(s.train, s.drive, {0.0});
  answer.figures.push_back(
      {"start_current", "starting current of the motor", Measure::current, stalled.motor_current.si, "d·E/R"});
  for (const auto& [how, name] : {std::pair{Unpowered::coast, "coast"}, std::pair{Unpowered::brake, "brake"}}) {
    const auto stopped = stop(moving, point.output_speed, how);
    const std::string id = name;
    answer.figures.push_back({id + "_time", "time to stop, " + id, Measure::time,
                              stopped ? stopped->time.si : std::numeric_limits<double>::infinity(),
                              how == Unpowered::coast ? "friction alone" : "motor shorted by the driver"});
    add_way(id + "_way", "way to stop, " + id, stopped ? stopped->angle.si : nothing, "from the settled speed");
  }
  answer.figures.push_back({"brake_current", "braking current, at first", Measure::current,
                            std::abs(braking_current(s.train, point.output_speed).si), "k·N·ω/R"});
  answer.assumptions = {drive_assumption, "wheels do not slip; inductance neglected"};
  answer.sources = {drive_source, "Newton's law at the output shaft"};
  return answer;
}

}  // namespace

std::vector<Subject> motion_subjects() {
  const std::string motor =
      "--free-speed \"5200 rpm\" --free-current \"0.35 A\" --stall-torque \"0.433 N*m\" "
      "--stall-current \"20 A\"";
  std::vector<Asked> lift = joined(motor_row(), drive_options());
  lift.push_back({"mass", Measure::mass, "what is lifted", Need::required, "", Range::positive});
  lift.push_back(
      {"radius", Measure::radius, "lift for each turn, or the drum's radius", Need::required, "", Range::positive});
  lift.push_back({"friction", Measure::torque, "friction of the mechanism, at the output", Need::optional, "0 N*m"});
  std::vector<Asked> move = joined(motor_row(), drive_options());
  move.push_back(
      {"inertia", Measure::inertia, "of all that moves, at the output", Need::required, "", Range::positive});
  move.push_back({"rotor", Measure::inertia, "of the motor's rotor", Need::optional, "0 kg*m2"});
  move.push_back({"friction", Measure::torque, "at the output", Need::optional, "0 N*m"});
  move.push_back({"viscous", Measure::damping, "at the output", Need::optional, "0 N*m*s/rad"});
  move.push_back({"radius", Measure::radius, "of the wheel, for ways in metres", Need::optional, "", Range::positive});
  return {
      {"motor", "A motor with driver, gear and load: operating point, stall, greatest power and efficiency",
       joined(joined(motor_row(), drive_options()),
              {{"load", Measure::torque, "load at the output", Need::optional, "0 N*m"}}),
       motor_rows(), motor_answer, "ringout calc motor " + motor + " --gear 60 --efficiency \"80 %\" --load \"2 N*m\""},
      {"lift", "A lift: rising, holding, and what it does when the supply is cut", std::move(lift), motor_rows(),
       lift_answer, "ringout calc lift " + motor + " --mass \"8 kg\" --radius \"8 mm/rev\""},
      {"move", "A drive from rest: time and way to its speed, and to stop", std::move(move), motor_rows(), move_answer,
       "ringout calc move " + motor + " --gear 60 --inertia \"0.084 kg*m2\" --radius \"80 mm\""},
  };
}

}  // namespace ringout::cli
