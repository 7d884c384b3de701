#include "cli/desk_words.h"

#include <fmt/format.h>

#include <cmath>

namespace ringout::cli {
namespace {

using desk::DeskReport;
using desk::RangeOf;
using robot::Robot;

// Which inputs drive a figure, in per cent of its spread.
std::string because_of(const Robot& robot, const std::vector<desk::Driver>& drivers) {
  std::string because;
  for (const auto& driver : drivers) {
    if (driver.share < 0.05) continue;
    because += fmt::format("{}{} {:.0f} %", because.empty() ? "driven by " : ", ",
                           robot.tolerances[driver.tolerance].path, 100.0 * driver.share);
  }
  return because.empty() ? "" : "      " + wrapped(because, text_columns - 8, 8) + "\n";
}

std::string spread_text(const Robot& robot, const DeskReport& report, Colour colour) {
  if (!report.spread) return "";
  const desk::Spread& spread = *report.spread;
  std::string text = heading(fmt::format("within the tolerances: {} ({} draws, 95 % of them)",
                                         report.cases[spread.of_case].name, spread.draws),
                             colour);
  for (const auto& figure : spread.figures) {
    const auto& i = figure.interval;
    if (shown(measure_of(figure.unit), i.low) == shown(measure_of(figure.unit), i.high)) continue;
    text += fmt::format("  {:<27} {}\n", figure.name, between_text(figure.unit, i.low, i.high));
    text += because_of(robot, figure.drivers);
  }
  text += fmt::format("  {:.1f} % of the draws brown out, {:.1f} % fall below the level where outputs go off\n",
                      100.0 * spread.brown_outs, 100.0 * spread.lows);
  return text;
}

// What drives the answers of a duty cycle: run time, batteries a day, and the motor nearest to its limit.
std::string duty_drivers_text(const Robot& robot, const DeskReport& report, Colour colour) {
  std::string text;
  for (const auto& duty : report.duties) {
    const desk::MotorHeatFigures* hottest = nullptr;
    for (const auto& m : duty.motors) {
      if (m.stated && (hottest == nullptr || m.limit - m.settled < hottest->limit - hottest->settled)) hottest = &m;
    }
    const auto tell = [&](const std::string& what, RangeOf kind, std::size_t part = 0) {
      const desk::FigureRange* range = report.range(kind, duty.cycle, part);
      if (range == nullptr) return;
      text += fmt::format("  {:<27} {}\n", what, between_text(range->unit, range->interval.low, range->interval.high));
      text += because_of(robot, range->drivers);
    };
    const std::size_t before = text.size();
    tell("run time", RangeOf::run_time);
    tell("batteries a day", RangeOf::batteries_per_day);
    if (hottest != nullptr) {
      tell(robot.outputs[hottest->output].name + " winding, settled", RangeOf::heat_settled, hottest->output);
    }
    if (text.size() == before) continue;
    text.insert(before, heading("within the tolerances: " + robot.duty_cycles[duty.cycle].name, colour));
  }
  return text;
}

}  // namespace

std::string volts_text(Voltage u) {
  return fmt::format("{:.2f} V", u.si);
}
std::string amperes_text(Current i) {
  if (i.si != 0.0 && std::abs(i.si) < 0.1) return shown(Measure::current, i.si);
  return fmt::format("{:.{}f} A", i.si, std::abs(i.si) < 1.0 ? 2 : 1);
}

std::string heading(const std::string& text, Colour colour) {
  return "\n" + paint(text, Tone::strong, colour) + "\n";
}

Measure measure_of(desk::SpreadUnit unit) {
  switch (unit) {
    case desk::SpreadUnit::volt:
      return Measure::voltage;
    case desk::SpreadUnit::ampere:
      return Measure::current;
    case desk::SpreadUnit::second:
      return Measure::time;
    case desk::SpreadUnit::radian_per_second:
      return Measure::angular_speed;
    case desk::SpreadUnit::newton_metre:
      return Measure::torque;
    case desk::SpreadUnit::watt:
      return Measure::power;
    case desk::SpreadUnit::joule:
      return Measure::energy;
    case desk::SpreadUnit::coulomb:
      return Measure::charge;
    case desk::SpreadUnit::kelvin:
      return Measure::temperature;
    case desk::SpreadUnit::radian_per_second_squared:
    case desk::SpreadUnit::ratio:
      return Measure::number;
  }
  return Measure::number;
}

std::string between_text(desk::SpreadUnit unit, double low, double high) {
  if (unit == desk::SpreadUnit::volt) return fmt::format("{:.2f} to {:.2f} V", low, high);
  if (unit == desk::SpreadUnit::ratio || unit == desk::SpreadUnit::radian_per_second_squared) {
    const int decimals = high < 10.0 ? 2 : 0;
    if (!std::isfinite(high)) return fmt::format("{:.{}f} and more", low, low < 10.0 ? 2 : 0);
    return fmt::format("{:.{}f} to {:.{}f}", low, decimals, high, decimals);
  }
  return shown_between(measure_of(unit), low, high);
}

std::string range_text(const desk::FigureRange* range) {
  if (range == nullptr) return "";
  const desk::Interval& i = range->interval;
  const Measure measure = measure_of(range->unit);
  if (shown(measure, i.low) == shown(measure, i.high)) return "";
  return " (" + between_text(range->unit, i.low, i.high) + ")";
}

std::string ranged_text(Measure measure, double si, const desk::FigureRange* range) {
  const std::string where = range_text(range);
  return (where.empty() ? shown(measure, si) : shown_like(measure, si, range->interval.high)) + where;
}

std::string most_percent(const desk::FigureRange* range) {
  if (range == nullptr || std::lround(100.0 * range->interval.high) == std::lround(100.0 * range->interval.nominal)) {
    return "";
  }
  return fmt::format(" (to {:.0f})", 100.0 * range->interval.high);
}

std::string drivers_text(const Robot& robot, const DeskReport& report, Colour colour) {
  return spread_text(robot, report, colour) + duty_drivers_text(robot, report, colour);
}

}  // namespace ringout::cli
