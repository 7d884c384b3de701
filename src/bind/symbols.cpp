#include "bind/symbols.h"

#include <fmt/format.h>

namespace ringout::bind {
namespace {

const std::string body = "class=\"body\"";
const std::string inner = "class=\"inner\"";
const std::string solid = "class=\"solid\"";

void stub(Drawing& d, Place from, double dx) {
  d.line(from, {from.x + dx, from.y}, body);
}

void draw_battery(Drawing& d, Place c) {
  for (const double x : {-2.4, 0.8}) d.line({c.x + x, c.y - 1.6}, {c.x + x, c.y + 1.6}, "class=\"body thick\"");
  for (const double x : {-0.8, 2.4}) d.line({c.x + x, c.y - 3.2}, {c.x + x, c.y + 3.2}, body);
  d.text({c.x + 3.2, c.y - 1.2}, "+", 3.0, {.size = 2.6});
}

void draw_breaker(Drawing& d, Place c) {
  stub(d, {c.x - 4.5, c.y}, 2.3);
  stub(d, {c.x + 4.5, c.y}, -2.3);
  d.line({c.x + 2.2, c.y}, {c.x - 2.0, c.y - 2.6}, body);
  d.line({c.x - 3.1, c.y - 0.9}, {c.x - 1.3, c.y + 0.9}, inner);
  d.line({c.x - 3.1, c.y + 0.9}, {c.x - 1.3, c.y - 0.9}, inner);
}

void draw_fuse(Drawing& d, Place c) {
  d.rectangle({c.x - 4.5, c.y - 1.6}, 9.0, 3.2, body);
  d.line({c.x - 4.5, c.y}, {c.x + 4.5, c.y}, inner);
}

void draw_resettable(Drawing& d, Place c) {
  d.rectangle({c.x - 4.5, c.y - 1.6}, 9.0, 3.2, body);
  d.polyline({{c.x - 4.2, c.y + 2.7}, {c.x - 2.4, c.y + 2.7}, {c.x + 2.6, c.y - 2.7}}, inner);
}

void draw_port(Drawing& d, Place c, const std::string& inscription) {
  d.rectangle({c.x - 11.0, c.y - 3.6}, 22.0, 7.2, body);
  d.text({c.x, c.y + 1.1}, inscription, 19.0, {.size = 3.0, .anchor = Anchor::middle, .weight = Weight::bold});
}

void draw_connector(Drawing& d, Place c) {
  d.rectangle({c.x - 2.6, c.y - 0.7}, 2.8, 1.4, "class=\"body solid\"");
  d.path(fmt::format("M {:.3f} {:.3f} A 1.7 1.7 0 0 1 {:.3f} {:.3f}", c.x - 0.2, c.y - 1.7, c.x - 0.2, c.y + 1.7),
         inner);
  stub(d, {c.x + 1.5, c.y}, 1.1);
}

void draw_motor(Drawing& d, Place c) {
  d.circle(c, 4.2, body);
  d.text({c.x, c.y + 0.7}, "M", 6.0, {.size = 4.0, .anchor = Anchor::middle});
  d.line({c.x - 1.5, c.y + 1.8}, {c.x + 1.5, c.y + 1.8}, inner);
  for (const double x : {-1.5, -0.4, 0.7}) d.line({c.x + x, c.y + 2.5}, {c.x + x + 0.8, c.y + 2.5}, inner);
}

void draw_lamp(Drawing& d, Place c) {
  d.circle(c, 3.4, body);
  const double r = 3.4 * 0.7071;
  d.line({c.x - r, c.y - r}, {c.x + r, c.y + r}, inner);
  d.line({c.x - r, c.y + r}, {c.x + r, c.y - r}, inner);
}

void draw_pump(Drawing& d, Place c) {
  d.circle(c, 3.4, body);
  d.path(fmt::format("M {0:.3f} {1:.3f} L {0:.3f} {2:.3f} L {3:.3f} {4:.3f} Z", c.x + 0.6, c.y - 1.7, c.y + 1.7,
                     c.x + 3.1, c.y),
         solid);
}

void draw_coil(Drawing& d, Place c) {
  d.rectangle({c.x - 2.2, c.y - 3.6}, 4.4, 7.2, body);
  d.line({c.x - 2.2, c.y + 1.4}, {c.x + 2.2, c.y - 1.4}, inner);
}

enum class AtRest { open, closed };
enum class Operated { by_hand_or_load, by_travel };

void draw_contact(Drawing& d, Place c, AtRest at_rest, Operated operated) {
  d.rectangle({c.x - 5.2, c.y - 3.6}, 10.4, 7.2, body);
  d.line({c.x - 5.2, c.y}, {c.x - 2.4, c.y}, inner);
  d.line({c.x + 2.4, c.y}, {c.x + 5.2, c.y}, inner);
  const double up = at_rest == AtRest::open ? -2.2 : -1.1;
  d.line({c.x - 2.4, c.y}, {c.x + (at_rest == AtRest::open ? 2.0 : 2.9), c.y + up}, inner);
  if (at_rest == AtRest::closed) d.line({c.x + 2.4, c.y}, {c.x + 2.4, c.y - 1.6}, inner);
  if (operated == Operated::by_travel) {
    // A position switch carries a triangle on its blade.
    d.path(fmt::format("M {:.3f} {:.3f} l 2.0 {:.3f} l -1.25 -1.35 Z", c.x - 1.3, c.y + up * 0.25,
                       at_rest == AtRest::open ? -1.0 : -0.42),
           inner);
  }
}

void draw_encoder(Drawing& d, Place c) {
  d.rectangle({c.x - 5.2, c.y - 3.6}, 10.4, 7.2, body);
  for (const double shift : {0.0, 0.9}) {
    const double y = c.y + (shift > 0.0 ? 2.5 : -0.7);
    const double x = c.x - 4.0 + shift;
    d.polyline({{x, y},
                {x + 1.0, y},
                {x + 1.0, y - 1.7},
                {x + 2.8, y - 1.7},
                {x + 2.8, y},
                {x + 4.6, y},
                {x + 4.6, y - 1.7},
                {x + 6.4, y - 1.7},
                {x + 6.4, y},
                {x + 7.1, y}},
               inner);
  }
}

void draw_potentiometer(Drawing& d, Place c) {
  d.rectangle({c.x - 5.2, c.y - 3.6}, 10.4, 7.2, body);
  d.rectangle({c.x - 3.4, c.y + 0.1}, 6.8, 2.0, inner);
  d.line({c.x, c.y - 2.6}, {c.x, c.y - 0.4}, inner);
  d.path(fmt::format("M {:.3f} {:.3f} l -0.7 -1.3 l 1.4 0 Z", c.x, c.y + 0.1), solid);
}

void draw_distance_sensor(Drawing& d, Place c) {
  d.rectangle({c.x - 5.2, c.y - 3.6}, 10.4, 7.2, body);
  d.circle({c.x - 3.0, c.y}, 0.6, solid);
  for (const double r : {2.0, 3.8, 5.6}) {
    d.path(fmt::format("M {0:.3f} {1:.3f} A {2:.1f} {2:.1f} 0 0 1 {0:.3f} {3:.3f}", c.x - 3.0 + r * 0.866,
                       c.y - r * 0.5, r, c.y + r * 0.5),
           inner);
  }
}

void draw_gear(Drawing& d, Place c) {
  d.circle({c.x - 2.6, c.y}, 1.6, body);
  d.circle({c.x + 1.6, c.y}, 2.6, body);
  d.circle({c.x - 2.6, c.y}, 0.3, solid);
  d.circle({c.x + 1.6, c.y}, 0.3, solid);
}

void draw_shape(Drawing& d, Symbol symbol, Place c, const std::string& inscription) {
  switch (symbol) {
    case Symbol::battery:
      return draw_battery(d, c);
    case Symbol::breaker:
      return draw_breaker(d, c);
    case Symbol::fuse:
      return draw_fuse(d, c);
    case Symbol::resettable:
      return draw_resettable(d, c);
    case Symbol::bridge_port:
    case Symbol::signal_port:
    case Symbol::supply_port:
      return draw_port(d, c, inscription);
    case Symbol::connector:
      return draw_connector(d, c);
    case Symbol::motor:
      return draw_motor(d, c);
    case Symbol::servo:
      d.rectangle({c.x - 5.2, c.y - 4.6}, 10.4, 9.2, body);
      return draw_motor(d, c);
    case Symbol::lamp:
      return draw_lamp(d, c);
    case Symbol::pump:
      return draw_pump(d, c);
    case Symbol::coil:
      return draw_coil(d, c);
    case Symbol::load:
      return d.rectangle({c.x - 4.2, c.y - 2.4}, 8.4, 4.8, body);
    case Symbol::contact_open:
      return draw_contact(d, c, AtRest::open, Operated::by_hand_or_load);
    case Symbol::contact_closed:
      return draw_contact(d, c, AtRest::closed, Operated::by_hand_or_load);
    case Symbol::position_switch_open:
      return draw_contact(d, c, AtRest::open, Operated::by_travel);
    case Symbol::position_switch_closed:
      return draw_contact(d, c, AtRest::closed, Operated::by_travel);
    case Symbol::encoder:
      return draw_encoder(d, c);
    case Symbol::potentiometer:
      return draw_potentiometer(d, c);
    case Symbol::distance_sensor:
      return draw_distance_sensor(d, c);
    case Symbol::bus_device:
      d.rectangle({c.x - 5.2, c.y - 3.6}, 10.4, 7.2, body);
      return d.text({c.x, c.y + 0.9}, inscription, 9.6, {.size = 2.5, .anchor = Anchor::middle});
    case Symbol::gear:
      return draw_gear(d, c);
  }
}

}  // namespace

double half_width(Symbol symbol) {
  switch (symbol) {
    case Symbol::battery:
      return 2.4;
    case Symbol::breaker:
    case Symbol::fuse:
    case Symbol::resettable:
      return 4.5;
    case Symbol::bridge_port:
    case Symbol::signal_port:
    case Symbol::supply_port:
      return 11.0;
    case Symbol::connector:
      return 2.6;
    case Symbol::motor:
    case Symbol::load:
    case Symbol::gear:
      return 4.2;
    case Symbol::lamp:
    case Symbol::pump:
      return 3.4;
    case Symbol::coil:
      return 2.2;
    default:
      return 5.2;
  }
}

Terminals draw_symbol(Drawing& d, Symbol symbol, Place centre, const std::string& name,
                      const std::string& inscription) {
  const double half = half_width(symbol);
  const Terminals at{{centre.x - half, centre.y}, {centre.x + half, centre.y}};
  d.open_group(fmt::format("class=\"symbol\" data-name=\"{}\" data-left=\"{:.3f} {:.3f}\" data-right=\"{:.3f} {:.3f}\"",
                           escape_xml(name), at.left.x, at.left.y, at.right.x, at.right.y));
  draw_shape(d, symbol, centre, inscription);
  if (symbol == Symbol::bridge_port || symbol == Symbol::supply_port) d.circle(at.left, 0.8, "class=\"terminal\"");
  if (symbol == Symbol::bridge_port || symbol == Symbol::signal_port) d.circle(at.right, 0.8, "class=\"terminal\"");
  d.close_group();
  return at;
}

void draw_conductor_count(Drawing& d, Place on_line, int conductors) {
  d.line({on_line.x - 0.9, on_line.y + 1.6}, {on_line.x + 0.9, on_line.y - 1.6}, "class=\"count\"");
  d.text({on_line.x + 1.1, on_line.y + 2.9}, std::to_string(conductors), 3.0, {.size = 2.1});
}

const char* meaning_of(Symbol symbol) {
  switch (symbol) {
    case Symbol::battery:
      return "battery";
    case Symbol::breaker:
      return "circuit breaker";
    case Symbol::fuse:
      return "fuse";
    case Symbol::resettable:
      return "resettable fuse";
    case Symbol::bridge_port:
      return "board port, drives";
    case Symbol::signal_port:
      return "board port, reads";
    case Symbol::supply_port:
      return "board's supply";
    case Symbol::connector:
      return "plug and socket";
    case Symbol::motor:
      return "d.c. motor";
    case Symbol::servo:
      return "positioning servo";
    case Symbol::lamp:
      return "lamp";
    case Symbol::pump:
      return "pump";
    case Symbol::coil:
      return "solenoid or valve";
    case Symbol::load:
      return "on/off load";
    case Symbol::contact_open:
      return "contact, open at rest";
    case Symbol::contact_closed:
      return "contact, closed at rest";
    case Symbol::position_switch_open:
      return "position switch";
    case Symbol::position_switch_closed:
      return "position switch, closed";
    case Symbol::encoder:
      return "encoder";
    case Symbol::potentiometer:
      return "potentiometer";
    case Symbol::distance_sensor:
      return "distance sensor";
    case Symbol::bus_device:
      return "bus device";
    case Symbol::gear:
      return "gear";
  }
  return "";
}

}  // namespace ringout::bind
