// One row of the loop diagram, from the port to the right.
#include <fmt/format.h>

#include <algorithm>

#include "base/check.h"
#include "bind/row_symbols.h"
#include "bind/scaling.h"
#include "bind/sheet.h"
#include "bind/symbols.h"
#include "bind/words.h"

namespace ringout::bind {
namespace {

constexpr double text_left = 16.0;  // from the left edge of the device and mechanism columns

void draw_stub_texts(Drawing& d, const Row& row) {
  const double x = sheet::point + 2.0;
  d.text({x, row.y - 0.6}, row.name(), sheet::supply - x - 1.0, {.size = 3.2, .weight = Weight::bold});
  d.text({x, row.y + 3.6}, fmt::format("{} · {}", row.number, robot::name_of(row.kind())), sheet::supply - x - 1.0,
         {.size = 2.4, .tone = Tone::grey});
}

void draw_port_and_wire(Drawing& d, const robot::Robot& robot, const Row& row, double device_left) {
  const bool out = row.output != nullptr;
  const std::string& port = out ? row.output->port : row.input->port;
  const robot::Wire& wire = out ? row.output->wire : row.input->wire;
  const std::string& connector = out ? row.output->connector : row.input->connector;
  const Place port_centre{sheet::port + 15.0, row.y};
  const Place from{port_centre.x + half_width(Symbol::bridge_port), row.y};
  const Place to{device_left, row.y};
  const double connector_x = sheet::device - 7.0;
  if (connector.empty()) {
    draw_wire(d, from, to, row.name() + ".port:out", row.name() + ".device:in");
  } else {
    const double half = half_width(Symbol::connector);
    draw_wire(d, from, {connector_x - half, row.y}, row.name() + ".port:out", row.name() + ".connector:in");
    draw_wire(d, {connector_x + half, row.y}, to, row.name() + ".connector:out", row.name() + ".device:in");
    draw_symbol(d, Symbol::connector, {connector_x, row.y}, row.name() + ".connector");
    d.text({sheet::wire + 6.0, row.y + 3.6}, connector, sheet::device - sheet::wire - 8.0,
           {.size = 2.3, .tone = Tone::grey});
  }
  draw_conductor_count(d, {sheet::wire + 2.0, row.y}, conductors_of(row.kind()));
  d.text({sheet::wire + 6.0, row.y - 1.6}, words_of(wire), connector_x - sheet::wire - 9.5, {.size = 2.4});
  draw_symbol(d, out ? Symbol::bridge_port : Symbol::signal_port, port_centre, row.name() + ".port", port);
  const robot::BoardPort& board_port = robot.port_of(port);
  if (!board_port.bank.empty()) {
    d.text({port_centre.x, row.y + 5.7}, "bank " + board_port.bank, 22.0,
           {.size = 2.0, .anchor = Anchor::middle, .tone = Tone::grey});
  }
}

// A dashed line between a device and the mechanism it moves or watches.
void draw_link(Drawing& d, Place from, Place to, const std::string& name) {
  d.line(from, to,
         fmt::format("class=\"link\" data-from=\"{0}.device:out\" data-to=\"{0}.mechanism:in\"", escape_xml(name)));
}

void draw_device(Drawing& d, const robot::Robot& robot, const Row& row, Place centre) {
  const std::string& name = row.output != nullptr ? row.output->device : row.input->device;
  const robot::Device& device = robot.device_of(name);
  const auto* bus = device.as<robot::BusDevice>();
  draw_symbol(d, device_symbol(robot, row), centre, row.name() + ".device", bus != nullptr ? bus->bus : "");
  const double x = sheet::device + text_left;
  const double room = sheet::mechanism - x - 1.0;
  d.text({x, row.y - 1.3}, name, room, {.size = 2.4});
  d.text({x, row.y + 3.4}, words_of(device), room, {.size = 2.3, .tone = Tone::grey});
}

std::vector<std::string> mechanism_lines(const robot::Output& output) {
  if (!output.mechanism) return {output.visible_sign};
  const robot::Mechanism& m = *output.mechanism;
  std::vector<std::string> lines{words_of(m)};
  lines.push_back(output.positive_means.empty() ? "" : "+ " + output.positive_means);
  std::string off = output.off == robot::Off::brake ? "off: brakes" : "off: coasts";
  if (m.lifted.in(kilograms(1)) > 0.0) off += fmt::format(", lifts {:.3g} kg", m.lifted.in(kilograms(1)));
  if (output.reversed) off += ", reversed";
  lines.push_back(off);
  return lines;
}

std::vector<std::string> sensed_lines(const robot::Robot& robot, const robot::Output& output) {
  std::string motion;
  for (const auto& input : robot.inputs) {
    if (input.senses != robot::SensesWhat::output_motion || input.senses_output != output.name) continue;
    motion += (motion.empty() ? "" : ", ") + input.name;
  }
  std::vector<std::string> lines{motion};
  if (output.low_switch) lines.push_back("low end: " + *output.low_switch);
  if (output.high_switch) lines.push_back("high end: " + *output.high_switch);
  return lines;
}

void draw_lines(Drawing& d, Place left, double room, std::vector<std::string> lines) {
  lines.erase(std::remove(lines.begin(), lines.end(), std::string()), lines.end());
  const double step = 3.7;
  double y = left.y + 0.9 - step * (static_cast<double>(lines.size()) - 1.0) / 2.0;
  for (const std::string& line : lines) {
    d.text({left.x, y}, line, room, {.size = 2.4});
    y += step;
  }
}

// A text too wide for its column on two lines, broken at the last space that fits.
std::vector<std::string> in_two(const std::string& text, double room) {
  const auto fits = [room](const std::string& part) { return text_width(part, 2.4, Weight::regular) <= room; };
  if (fits(text)) return {text};
  std::size_t space = text.rfind(' ');
  while (space != std::string::npos && space > 0 && !fits(text.substr(0, space))) space = text.rfind(' ', space - 1);
  if (space == std::string::npos || space == 0) return {text};
  return {text.substr(0, space), text.substr(space + 1)};
}

void draw_mechanism(Drawing& d, const robot::Robot& robot, const Row& row, Place device_right) {
  const double left = sheet::mechanism + 1.0;
  const double sense_room = sheet::verdict - sheet::senses - 3.0;
  if (row.output != nullptr) {
    const bool moves = row.output->mechanism.has_value();
    const double x = moves ? left + 11.0 : left + 2.0;
    if (moves) {
      draw_link(d, device_right, {left, row.y}, row.name());
      draw_symbol(d, Symbol::gear, {left + half_width(Symbol::gear), row.y}, row.name() + ".mechanism");
    }
    draw_lines(d, {x, row.y}, sheet::senses - x - 1.5, mechanism_lines(*row.output));
    draw_lines(d, {sheet::senses + 1.0, row.y}, sense_room, sensed_lines(robot, *row.output));
    return;
  }
  const bool watches_output = !row.input->senses_output.empty();
  if (watches_output) {
    draw_link(d, device_right, {left, row.y}, row.name());
    d.line({left, row.y - 2.0}, {left, row.y + 2.0}, "class=\"inner\"");
  }
  const double room = sheet::senses - left - 3.5;
  std::vector<std::string> lines{watched_by(*row.input)};
  for (const std::string& line : in_two(row.input->hand_action, room)) lines.push_back(line);
  draw_lines(d, {left + 2.0, row.y}, room, lines);
  const InputScale scale = scale_of(robot, *row.input);
  draw_lines(d, {sheet::senses + 1.0, row.y}, sense_room, {words_of(scale), row.input->reversed ? "reversed" : ""});
}

struct MarkWord {
  const char* word;
  const char* sign;  // path around the origin, so that the word is not alone
};

MarkWord word_of(Mark mark) {
  switch (mark) {
    case Mark::proved:
      return {"proved", "M -1.6 0.1 l 1.2 1.4 l 2.2 -3"};
    case Mark::disagrees:
      return {"disagrees", "M -1.5 -1.5 l 3 3 M -1.5 1.5 l 3 -3"};
    case Mark::silent:
      return {"silent", "M -1.6 0 a 1.6 1.6 0 1 0 3.2 0 a 1.6 1.6 0 1 0 -3.2 0"};
    case Mark::untested:
      return {"untested", "M -1.5 0 h 3"};
    case Mark::stale:
      return {"stale", "M -1.6 0.5 q 0.8 -1.6 1.6 -0.5 t 1.6 -0.5"};
  }
  return {"", ""};
}

void draw_verdict(Drawing& d, const Row& row, const DiagramNotes& notes) {
  const auto found = notes.verdicts.find(row.name());
  if (found == notes.verdicts.end()) {
    d.rectangle({sheet::verdict + 1.5, row.y - 4.2}, sheet::right - sheet::verdict - 3.0, 8.4, "class=\"free\"");
    return;
  }
  const MarkWord mark = word_of(found->second);
  d.open_group(fmt::format("transform=\"translate({:.3f} {:.3f})\"", sheet::verdict + 4.5, row.y));
  d.path(mark.sign, "class=\"sign\"");
  d.close_group();
  d.text({sheet::verdict + 8.0, row.y + 1.0}, mark.word, sheet::right - sheet::verdict - 9.0,
         {.size = 2.9, .weight = Weight::bold});
}

// Sensors other than switches take their supply from the board; switches work on the port's own pull-up.
void draw_sensor_supply(Drawing& d, const robot::Robot& robot, const Row& row) {
  if (row.input == nullptr) return;
  const bool contact = row.kind() == robot::PointKind::switch_input;
  const std::string text =
      contact ? "pull-up in the port" : fmt::format("{:.3g} V from the board", robot.board.logic.in(volts(1)));
  d.text({sheet::port - 1.0, row.y + 0.9}, text, sheet::port - sheet::protection,
         {.size = 2.3, .anchor = Anchor::end, .tone = Tone::grey});
}

}  // namespace

void draw_controller(Drawing& d, const robot::Robot& robot, const Row& row) {
  const double x = sheet::point + 2.0;
  d.text({x, row.y - 0.6}, "controller", sheet::supply - x - 1.0, {.size = 3.2, .weight = Weight::bold});
  d.text({x, row.y + 3.6}, "its own supply", sheet::supply - x - 1.0, {.size = 2.4, .tone = Tone::grey});
  draw_symbol(d, Symbol::supply_port, {sheet::port + 15.0, row.y}, row.name() + ".port", "supply");
  const std::string wire = words_of(robot.board_wire);
  if (!wire.empty()) {
    d.text({sheet::wire + 6.0, row.y + 0.9}, wire + " to it", sheet::device - sheet::wire - 8.0, {.size = 2.4});
  }
  const double left = sheet::device + text_left;
  const double room = sheet::mechanism - left - 1.0;
  d.text({left, row.y - 1.3}, robot.board.name, room, {.size = 2.4});
  d.text({left, row.y + 3.4}, fmt::format("outputs off below {:.3g} V", robot.board.supply_low.in(volts(1))), room,
         {.size = 2.3, .tone = Tone::grey});
  d.text({sheet::mechanism + 3.0, row.y + 0.9},
         fmt::format("starts anew below {:.3g} V", robot.board.brown_out.in(volts(1))),
         sheet::senses - sheet::mechanism - 5.0, {.size = 2.4});
}

void draw_row(Drawing& d, const robot::Robot& robot, const Row& row, const DiagramNotes& notes) {
  draw_stub_texts(d, row);
  draw_sensor_supply(d, robot, row);
  const double half = half_width(device_symbol(robot, row));
  const Place centre{sheet::device + 2.0 + half, row.y};
  draw_port_and_wire(d, robot, row, centre.x - half);
  draw_device(d, robot, row, centre);
  draw_mechanism(d, robot, row, {centre.x + half, row.y});
  draw_verdict(d, row, notes);
}

}  // namespace ringout::bind
