// Plain symbols for the loop diagram, after IEC 60617 (battery, circuit breaker, fuse, motor, lamp, contact, plug and
// socket, mechanical link): each is drawn around a centre on its row's line and says where a wire meets it.
// The outline of every symbol carries class "body": its leftmost and rightmost points are the two terminals.
#pragma once

#include <string>

#include "bind/drawing.h"

namespace ringout::bind {

enum class Symbol {
  battery,
  breaker,
  fuse,
  resettable,
  bridge_port,  // a port of the board that drives or feeds
  signal_port,  // a port of the board that reads
  supply_port,  // the terminal by which the board itself is fed
  connector,
  motor,
  servo,
  lamp,
  pump,
  coil,  // solenoid, valve, relay
  load,  // any other on/off load
  contact_open,
  contact_closed,
  position_switch_open,
  position_switch_closed,
  encoder,
  potentiometer,
  distance_sensor,
  bus_device,
  gear,
};

struct Terminals {
  Place left;
  Place right;
};

// Half of the width of a symbol, so that layout can leave room.
[[nodiscard]] double half_width(Symbol symbol);
// `inscription` is written inside a port or a bus device; others ignore it. `name` marks the group for tests.
Terminals draw_symbol(Drawing& drawing, Symbol symbol, Place centre, const std::string& name,
                      const std::string& inscription = {});
// The slash with a number: a line that stands for this many conductors.
void draw_conductor_count(Drawing& drawing, Place on_line, int conductors);
[[nodiscard]] const char* meaning_of(Symbol symbol);  // for the key

}  // namespace ringout::bind
