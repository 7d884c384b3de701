#include <fmt/format.h>

#include "bind/point_table.h"
#include "bind/scaling.h"
#include "bind/words.h"

namespace ringout::bind {
namespace {

std::string bounds_text(const robot::Robot& robot, const wire::TableEntry& e) {
  const auto name = [&robot](std::uint8_t point) {
    const std::size_t input = point - robot.outputs.size();
    return point >= robot.outputs.size() && input < robot.inputs.size() ? robot.inputs[input].name
                                                                        : fmt::format("point {}", point);
  };
  std::string text = fmt::format("up to {:.1f} %", e.max_level_permille / 10.0);
  if (e.slope_permille_per_ms > 0) text += fmt::format(", {:.1f} %/ms", e.slope_permille_per_ms / 10.0);
  if (e.low_switch != wire::no_point) text += ", low end " + name(e.low_switch);
  if (e.high_switch != wire::no_point) text += ", high end " + name(e.high_switch);
  if (e.travel_sensor != wire::no_point) {
    text += fmt::format(", {} {} to {}", name(e.travel_sensor), e.travel_low, e.travel_high);
  }
  return text;
}

const char* unit_name(std::uint8_t unit) {
  switch (static_cast<wire::Unit>(unit)) {
    case wire::Unit::radian:
      return " rad";
    case wire::Unit::metre:
      return " m";
    default:
      return "";
  }
}

std::string scale_text(const wire::TableEntry& e) {
  if (static_cast<robot::PointKind>(e.kind) == robot::PointKind::switch_input) {
    return (e.flags & wire::entry_acts_low) != 0 ? "acts low" : "acts high";
  }
  std::string text = fmt::format("{:.6g}{} a count", e.scale, unit_name(e.unit));
  if (e.offset != 0.0F) text += fmt::format(", {:.6g}{} at 0", e.offset, unit_name(e.unit));
  return text;
}

std::string marks(const wire::TableEntry& e) {
  std::string text;
  if ((e.flags & wire::entry_reversed) != 0) text += "reversed ";
  if (robot::is_output(static_cast<robot::PointKind>(e.kind))) {
    text += (e.flags & wire::entry_brake) != 0 ? "brakes " : "coasts ";
  }
  if ((e.flags & wire::entry_proved) != 0) text += "proved ";
  if (!text.empty()) text.pop_back();
  return text;
}

}  // namespace

std::string table_text(const robot::Robot& robot, const PointTable& table) {
  const wire::TableHeader& h = table.header;
  std::string text = fmt::format("point table {:08X}, names {:08X}, board {:08X} ({})\n", table_fingerprint(table),
                                 h.program_fp, h.board_fp, robot.board.name);
  text += fmt::format("unproved ports: up to {:.1f} %, {} ms, {:.1f} %/ms; outputs off below {:.2f} V\n\n",
                      h.unproved_level_permille / 10.0, h.unproved_duration_ms, h.unproved_slope_permille_per_ms / 10.0,
                      h.supply_low_mv / 1000.0);
  text +=
      fmt::format("{:>2}  {:<18} {:<13} {:<5} {:<16} {}\n", "no", "point", "kind", "port", "marks", "bounds, scale");
  for (std::size_t i = 0; i < table.entries.size(); ++i) {
    const wire::TableEntry& e = table.entries[i];
    const auto kind = static_cast<robot::PointKind>(e.kind);
    const bool output = i < robot.outputs.size();
    const std::string& name = output ? robot.outputs[i].name : robot.inputs[i - robot.outputs.size()].name;
    const std::string& port = output ? robot.outputs[i].port : robot.inputs[i - robot.outputs.size()].port;
    text += fmt::format("{:>2}  {:<18} {:<13} {:<5} {:<16} {}\n", i, name, robot::name_of(kind), port, marks(e),
                        output ? bounds_text(robot, e) : scale_text(e));
  }
  return text;
}

}  // namespace ringout::bind
