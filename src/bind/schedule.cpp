#include "bind/schedule.h"

#include <fmt/format.h>

#include <vector>

#include "bind/scaling.h"
#include "bind/sheet.h"
#include "bind/words.h"

namespace ringout::bind {
namespace {

using Fields = std::vector<std::string>;

std::string csv_line(const Fields& fields) {
  std::string line;
  for (const std::string& field : fields) {
    if (&field != &fields.front()) line += ',';
    if (field.find_first_of(",\"\r\n") == std::string::npos) {
      line += field;
      continue;
    }
    line += '"';
    for (const char c : field) {
      if (c == '"') line += '"';
      line += c;
    }
    line += '"';
  }
  return line + "\r\n";
}

std::string joined(const std::vector<std::string>& words, const char* between) {
  std::string text;
  for (const auto& word : words) text += (text.empty() ? "" : between) + word;
  return text;
}

std::string pins_of(const robot::Robot& robot, const std::string& port) {
  return joined(robot.port_of(port).pins, " ");
}

Fields row_of(const robot::Robot& robot, const robot::Output& o, std::size_t number) {
  std::string travel;
  if (o.mechanism && o.mechanism->travel) {
    const Measured measured = o.mechanism->travel_is_length ? Measured::length : Measured::angle;
    travel = number_in_unit(o.mechanism->travel->low, measured) + " to " +
             number_in_unit(o.mechanism->travel->high, measured);
  }
  return {std::to_string(number),
          o.name,
          robot::name_of(o.kind),
          o.port,
          pins_of(robot, o.port),
          o.device,
          joined(feed_of(robot, o.fed_by), " > "),
          words_of(o.wire),
          o.connector,
          o.reversed ? "yes" : "no",
          fmt::format("{:.3g} %", o.max_level * 100.0),
          o.off == robot::Off::brake ? "brakes" : "coasts",
          travel,
          o.low_switch.value_or(""),
          o.high_switch.value_or(""),
          "",
          "",
          o.positive_means.empty() ? o.visible_sign : o.positive_means,
          o.owner};
}

Fields row_of(const robot::Robot& robot, const robot::Input& i, std::size_t number) {
  const InputScale scale = scale_of(robot, i);
  return {std::to_string(number),
          i.name,
          robot::name_of(i.kind),
          i.port,
          pins_of(robot, i.port),
          i.device,
          "",
          words_of(i.wire),
          i.connector,
          i.reversed ? "yes" : "no",
          "",
          "",
          "",
          "",
          "",
          watched_by(i),
          words_of(scale),
          i.hand_action,
          i.owner};
}

}  // namespace

std::string point_schedule_csv(const robot::Robot& robot) {
  std::string text = csv_line({"number", "point", "kind", "port", "pins", "device", "feed", "wire", "connector",
                               "reversed", "max level", "off", "travel", "low end switch", "high end switch", "watches",
                               "scale", "seen or done by hand", "owner"});
  std::size_t number = 0;
  for (const auto& output : robot.outputs) text += csv_line(row_of(robot, output, number++));
  for (const auto& input : robot.inputs) text += csv_line(row_of(robot, input, number++));
  return text;
}

}  // namespace ringout::bind
