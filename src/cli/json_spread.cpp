// Where the desk check's figures may lie within the tolerances, as JSON.
#include "cli/json_desk_parts.h"
#include "desk/report_figures.h"

namespace ringout::cli {
namespace {

using desk::DeskReport;
using robot::Robot;

const char* unit_of(desk::SpreadUnit unit) {
  switch (unit) {
    case desk::SpreadUnit::volt:
      return "V";
    case desk::SpreadUnit::ampere:
      return "A";
    case desk::SpreadUnit::second:
      return "s";
    case desk::SpreadUnit::radian_per_second:
      return "rad/s";
    case desk::SpreadUnit::radian_per_second_squared:
      return "rad/s2";
    case desk::SpreadUnit::newton_metre:
      return "N*m";
    case desk::SpreadUnit::watt:
      return "W";
    case desk::SpreadUnit::joule:
      return "J";
    case desk::SpreadUnit::coulomb:
      return "C";
    case desk::SpreadUnit::kelvin:
      return "degC";
    case desk::SpreadUnit::ratio:
      return "1";
  }
  return "";
}

Json drivers_json(const Robot& robot, const std::vector<desk::Driver>& drivers) {
  Json json = Json::array();
  for (const auto& d : drivers) {
    json.push_back({{"path", robot.tolerances[d.tolerance].path},
                    {"correlation", finite(d.correlation)},
                    {"share", finite(d.share)}});
  }
  return json;
}

// What a range's `of` and `part` are the numbers of.
struct Owner {
  std::string of;
  std::string part;
};
Owner owner_of(const Robot& robot, const DeskReport& report, const desk::FigureRange& r) {
  using desk::RangeOf;
  if (r.what <= RangeOf::bank_share) {
    const auto& c = report.cases[r.of];
    if (r.what == RangeOf::case_controller || r.what == RangeOf::case_battery) return {c.name, ""};
    if (r.what == RangeOf::case_multiple) return {c.name, robot.protections[r.part].name};
    if (r.what == RangeOf::wire_share) return {c.name, report.wires[r.part].name};
    if (r.what == RangeOf::bank_share) return {c.name, c.banks[r.part].bank};
    return {c.name, robot.outputs[r.part].name};
  }
  if (r.what == RangeOf::stall_multiple) return {robot.outputs[r.of].name, robot.protections[r.part].name};
  if (r.what <= RangeOf::motor_to_63_percent) return {robot.outputs[r.of].name, ""};
  const std::string& cycle = robot.duty_cycles[r.of].name;
  if (r.what >= RangeOf::profile_peak) return {cycle, robot.protections[r.part].name};
  return {cycle, r.what >= RangeOf::heat_after_cycles ? robot.outputs[r.part].name : ""};
}

}  // namespace

Json ranges_json(const robot::Robot& robot, const desk::DeskReport& report) {
  Json ranges = Json::array();
  for (const auto& r : report.ranges) {
    const Owner owner = owner_of(robot, report, r);
    const double zero = r.unit == desk::SpreadUnit::kelvin ? 273.15 : 0.0;
    ranges.push_back({{"figure", desk::name_of(r.what)},
                      {"of", owner.of},
                      {"part", owner.part},
                      {"unit", unit_of(r.unit)},
                      {"nominal", finite(r.interval.nominal - zero)},
                      {"low", finite(r.interval.low - zero)},
                      {"high", finite(r.interval.high - zero)},
                      {"opens", r.opens ? trip_json(*r.opens) : Json(nullptr)},
                      {"drivers", drivers_json(robot, r.drivers)}});
  }
  return ranges;
}

Json spread_json(const robot::Robot& robot, const desk::DeskReport& report) {
  if (!report.spread) return nullptr;
  const auto& s = *report.spread;
  Json figures = Json::array();
  for (const auto& f : s.figures) {
    figures.push_back({{"name", f.name},
                       {"unit", unit_of(f.unit)},
                       {"nominal", finite(f.interval.nominal)},
                       {"low", finite(f.interval.low)},
                       {"high", finite(f.interval.high)},
                       {"drivers", drivers_json(robot, f.drivers)}});
  }
  return {{"case", report.cases[s.of_case].name}, {"seed", s.seed},         {"draws", s.draws},
          {"brown_outs", finite(s.brown_outs)},   {"lows", finite(s.lows)}, {"figures", figures},
          {"basis", basis_json("spread")}};
}

}  // namespace ringout::cli
