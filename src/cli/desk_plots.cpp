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

Plot motor_plot(const Robot& robot, const desk::MotorCurve& m) {
  constexpr int steps = 120;
  const double stall = m.stall_torque.si;
  const double k = m.k.si;
  const double friction = k * m.free_current.si;
  chart::Curve speed{"speed", {}};
  chart::Curve current{"current", {}};
  chart::Curve power{"power at the shaft", {}};
  chart::Curve efficiency{"efficiency", {}};
  const double end = std::max(1e-9, stall - friction);
  const double volts = m.supply.si * robot.outputs[m.output].max_level;  // what the bridge lets through to the motor
  for (int i = 0; i <= steps; ++i) {
    const double torque = end * i / steps;
    const double omega = m.free_speed.si * (1.0 - torque / end);
    const double amps = m.free_current.si + (m.stall_current.si - m.free_current.si) * torque / end;
    speed.points.push_back({torque, omega / per_minute});
    current.points.push_back({torque, amps});
    power.points.push_back({torque, torque * omega});
    efficiency.points.push_back({torque, 100.0 * torque * omega / (volts * amps)});
  }
  const double at = m.operating_torque.si;
  const double rpm_there = m.operating_speed.si / per_minute;
  const double power_there = at * m.operating_speed.si;
  const double efficiency_there =
      m.operating_current.si > 0.0 ? 100.0 * power_there / (volts * m.operating_current.si) : 0.0;
  const auto& output = robot.outputs[m.output];
  const double limit = robot.port_of(output.port).current_limit.si;
  const bool limited = m.stall_current.si > limit;
  const bool near = limit < 2.0 * m.stall_current.si;  // else a line there would press the curve flat
  std::vector<chart::Level> limits;
  if (near)
    limits.push_back({fmt::format("driver's limit {:.3g} A{}", limit, limited ? ": it gives no more" : ""), limit});
  Figure figure{
      fmt::format("{}: {} at {:.2f} V", output.name, output.device, m.supply.si),
      fmt::format("At its highest level with this motor alone running; torque is what the shaft gives, winding {}.{} ",
                  shown(Measure::resistance, m.winding.si),
                  near ? "" : fmt::format(" The driver's limit, {:.3g} A, is out of reach.", limit)) +
          note_of("motor.row") + invented(robot),
      {"torque at the motor's shaft", "N·m"},
      {{{"speed", "rpm"},
        {speed},
        {},
        {{fmt::format("its own load: {:.0f} rpm", rpm_there), {at, rpm_there}}},
        {},
        34.0},
       {{"current", "A"},
        {current},
        {},
        {{shown(Measure::current, m.operating_current.si), {at, m.operating_current.si}}},
        limits,
        34.0},
       {{"power", "W"}, {power}, {}, {{shown(Measure::power, power_there), {at, power_there}}}, {}, 34.0},
       {{"efficiency", "%"},
        {efficiency},
        {},
        {{fmt::format("{:.0f} %", efficiency_there), {at, efficiency_there}}},
        {},
        34.0}}};
  return {"motor_" + output.name, draw(figure).svg};
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
