#include "cli/desk_plots.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "chart/svg.h"
#include "cli/desk_plot_parts.h"
#include "cli/measure.h"

namespace ringout::cli {
namespace {

using chart::Figure;
using chart::Panel;
using desk::DeskReport;
using robot::Robot;

constexpr const char* bars = " Grey: where 95 % of the draws within the tolerances lie.";
constexpr double per_minute = 2.0 * pi / 60.0;

Plot voltage_plot(const Robot& robot, const DeskReport& report) {
  chart::RowFigure figure{robot.name + ": voltage in each load case, worst first",
                          note_of("battery.voltage") + (report.ranges.empty() ? "" : bars) + invented(robot),
                          {"voltage", "V"}};
  double least = robot.board.brown_out.si;
  for (const std::size_t i : report.by_severity) {
    const auto& c = report.cases[i];
    if (c.unsolved) continue;
    chart::RowMark controller{"at the controller", c.controller.si};
    if (const desk::FigureRange* range = report.range(desk::RangeOf::case_controller, i)) {
      controller.low = range->interval.low;
      controller.high = range->interval.high;
    }
    least = std::min(least, controller.low.value_or(c.controller.si));
    figure.rows.push_back({c.name, {controller, {"at the battery", c.battery_terminals.si}}});
  }
  figure.x.from = std::max(0.0, std::floor(least - 0.5));
  figure.levels = {{fmt::format("controller browns out below {:.1f} V", robot.board.brown_out.si),
                    robot.board.brown_out.si, chart::Direction::vertical},
                   {fmt::format("outputs off below {:.1f} V", robot.board.supply_low.si), robot.board.supply_low.si,
                    chart::Direction::vertical}};
  return {"voltage", draw(figure).svg};
}

struct MotorCurves {
  chart::Curve speed{"speed", {}};
  chart::Curve current{"current", {}};
  chart::Curve power{"power at the shaft", {}};
  chart::Curve efficiency{"efficiency", {}};
};

// At the driver's limit each falls to what it is standing: the motor gives that torque at any speed below.
MotorCurves curves_of(const desk::MotorCurve& m) {
  constexpr int steps = 120;
  MotorCurves c;
  for (const desk::MotorPoint& p : desk::points_of(m, steps)) {
    c.speed.points.push_back({p.torque.si, p.speed.si / per_minute});
    c.current.points.push_back({p.torque.si, p.current.si});
    c.power.points.push_back({p.torque.si, p.power.si});
    c.efficiency.points.push_back({p.torque.si, 100.0 * p.efficiency});
  }
  return c;
}

std::string motor_note(const Robot& robot, const desk::MotorCurve& m) {
  std::string limit;
  if (m.stall_current < m.line_stall) {
    limit = fmt::format(" The driver holds {}, {} of torque at any speed below the corner.",
                        shown(Measure::current, m.limit.si),
                        shown(Measure::torque, desk::points_of(m, 1).back().torque.si));
  } else if (std::isfinite(m.limit.si)) {
    limit = fmt::format(" The driver's limit, {}, is out of reach.", shown(Measure::current, m.limit.si));
  }
  return fmt::format(
             "At its highest level with this motor alone running; torque is what the shaft gives, efficiency from the "
             "battery to the shaft, winding {}.{} ",
             shown(Measure::resistance, m.winding.si), limit) +
         note_of("motor.row") + invented(robot);
}

std::optional<Plot> motor_plot(const Robot& robot, const desk::MotorCurve& m) {
  const auto& output = robot.outputs[m.output];
  const MotorCurves curves = curves_of(m);
  if (curves.speed.points.empty()) return std::nullopt;  // its driver's limit does not turn it at all
  const double at = m.operating_torque.si;
  const double power_there = at * m.operating_speed.si;
  const auto panel = [&](const char* quantity, const char* unit, const chart::Curve& curve, const std::string& told,
                         double value) {
    return Panel{.y = {quantity, unit}, .curves = {curve}, .marks = {{told, {at, value}}}, .height = 34.0};
  };
  const double rpm_there = m.operating_speed.si / per_minute;
  Figure figure{
      fmt::format("{}: {} at {:.2f} V", output.name, output.device, m.supply.si),
      motor_note(robot, m),
      {"torque at the motor's shaft", "N·m"},
      {panel("speed", "rpm", curves.speed, fmt::format("its own load: {:.0f} rpm", rpm_there), rpm_there),
       panel("current", "A", curves.current, shown(Measure::current, m.operating_current.si), m.operating_current.si),
       panel("power", "W", curves.power, shown(Measure::power, power_there), power_there),
       panel("efficiency", "%", curves.efficiency, fmt::format("{:.0f} %", 100.0 * m.operating_efficiency),
             100.0 * m.operating_efficiency)}};
  const bool near = m.limit.si < 2.0 * m.stall_current.si;  // else a line there would press the curve flat
  if (near) figure.panels[1].levels = {{fmt::format("driver's limit {:.3g} A", m.limit.si), m.limit.si}};
  return Plot{"motor_" + output.name, draw(figure).svg};
}

std::vector<chart::Point> points_of(const std::vector<desk::CurvePoint>& curve, double per_unit, double offset) {
  std::vector<chart::Point> points;
  points.reserve(curve.size());
  for (const auto& p : curve) points.push_back({p.at / per_unit, p.value + offset});
  return points;
}

struct TimeUnit {
  const char* name;
  double seconds;
};
TimeUnit unit_for(double longest) {
  if (longest > 3.0 * 3600.0) return {"h", 3600.0};
  return longest > 300.0 ? TimeUnit{"min", 60.0} : TimeUnit{"s", 1.0};
}

std::optional<Plot> heat_plot(const Robot& robot, const desk::DutyFigures& duty) {
  double longest = 0.0;
  for (const auto& m : duty.motors) {
    if (m.stated && !m.winding.empty()) longest = std::max(longest, m.winding.back().at);
  }
  if (longest <= 0.0) return std::nullopt;
  const TimeUnit unit = unit_for(longest);
  Panel panel{{"winding temperature", "°C", chart::Scale::linear, std::nullopt, std::nullopt}};
  panel.height = 90.0;
  std::vector<double> limits;
  for (const auto& m : duty.motors) {
    if (!m.stated || m.winding.empty()) continue;
    panel.curves.push_back({robot.outputs[m.output].name, points_of(m.winding, unit.seconds, -273.15)});
    const double limit = m.limit.si - 273.15;
    if (std::find(limits.begin(), limits.end(), limit) == limits.end()) limits.push_back(limit);
  }
  for (const double limit : limits) panel.levels.push_back({fmt::format("winding limit {:.0f} °C", limit), limit});
  const Figure figure{
      fmt::format("{}: motors getting warm in {} cycles", robot.duty_cycles[duty.cycle].name, duty.cycles_shown),
      note_of("motor.heat") + invented(robot),
      {"time", unit.name},
      {panel}};
  return Plot{"heat_" + robot.duty_cycles[duty.cycle].name, draw(figure).svg};
}

std::optional<Plot> run_plot(const Robot& robot, const desk::DutyFigures& duty) {
  if (duty.run_curve.size() < 2) return std::nullopt;
  const TimeUnit unit = unit_for(duty.run_curve.back().at);
  Panel panel{{"battery voltage, heaviest step", "V"}};
  panel.height = 80.0;
  panel.curves = {{"battery under the heaviest step", points_of(duty.run_curve, unit.seconds, 0.0)}};
  panel.levels = {{fmt::format("outputs off below {:.1f} V", robot.board.supply_low.si), robot.board.supply_low.si}};
  const auto* battery = robot.device_of(robot.battery.device).as<robot::BatteryDevice>();
  if (battery != nullptr && battery->cutoff) {
    panel.levels.push_back({fmt::format("battery's cutoff {:.1f} V", battery->cutoff->si), battery->cutoff->si});
  }
  double least = robot.board.supply_low.si;
  for (const auto& p : duty.run_curve) least = std::min(least, p.value);
  panel.y.from = std::floor(least - 0.5);
  const auto& last = duty.run_curve.back();
  panel.marks = {{fmt::format("{}: {}", shown(Measure::time, duty.run_time.si), duty.end_reason),
                  {last.at / unit.seconds, last.value}}};
  const Figure figure{fmt::format("{}: how long the battery lasts", robot.duty_cycles[duty.cycle].name),
                      note_of("battery.run_time") + invented(robot),
                      {"time", unit.name},
                      {panel}};
  return Plot{"run_time_" + robot.duty_cycles[duty.cycle].name, draw(figure).svg};
}

}  // namespace

std::string note_of(std::string_view id) {
  const desk::Basis& basis = desk::basis_of(id);
  return fmt::format("Assumed: {}. Source: {}.", basis.assumption, basis.source);
}

std::string invented(const Robot& robot) {
  return robot.invented ? " The robot and its devices are invented." : "";
}

std::vector<Plot> desk_plots(const Robot& robot, const DeskReport& report) {
  std::vector<Plot> plots;
  const auto keep = [&](std::optional<Plot> plot) {
    if (plot) plots.push_back(std::move(*plot));
  };
  const bool solved = std::any_of(report.cases.begin(), report.cases.end(), [](const auto& c) { return !c.unsolved; });
  if (solved) keep(voltage_plot(robot, report));
  for (const auto& motor : report.motors) keep(motor_plot(robot, motor));
  for (std::size_t i = 0; i < robot.protections.size(); ++i) keep(protection_plot(robot, report, i));
  for (const auto& duty : report.duties) {
    if (duty.unsolved) continue;
    keep(heat_plot(robot, duty));
    keep(run_plot(robot, duty));
  }
  return plots;
}

}  // namespace ringout::cli
