#include <fmt/format.h>

#include "robot/catalogue_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

namespace {

using Dim = Dimension;

DeviceSpec read_motor(TableReader& t) {
  MotorDevice d;
  t.quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  t.quantity("free_speed", Need::required, Dim::angular_speed, above_zero, d.free_speed.si);
  t.quantity("free_current", Need::required, Dim::current, above_zero, d.free_current.si);
  t.quantity("stall_torque", Need::required, Dim::torque, above_zero, d.stall_torque.si);
  t.quantity("stall_current", Need::required, Dim::current, above_zero, d.stall_current.si);
  t.quantity("rotor_inertia", Need::required, Dim::inertia, above_zero, d.rotor_inertia.si);
  t.quantity("inductance", Need::required, Dim::inductance, above_zero, d.inductance.si);
  const bool sound = d.free_current.si <= 0 || d.stall_current > d.free_current;
  if (!sound && d.stall_current.si > 0) {
    t.error("stall_current", "catalogue.motor-figures",
            fmt::format("the stall current of {} is not above its free current", t.what()),
            "the two are probably exchanged");
  }
  return d;
}

DeviceSpec read_on_off(TableReader& t) {
  OnOffDevice d;
  t.quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  t.quantity("current", Need::required, Dim::current, above_zero, d.current.si);
  t.number("inrush_factor", Need::optional, {1.0, 100.0}, d.inrush_factor);
  t.quantity("inrush_time", Need::optional, Dim::time, from_zero, d.inrush_time.si);
  return d;
}

DeviceSpec read_servo(TableReader& t) {
  ServoDevice d;
  t.quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  t.quantity("stall_current", Need::required, Dim::current, above_zero, d.stall_current.si);
  return d;
}

DeviceSpec read_light(TableReader& t) {
  LightDevice d;
  std::int64_t pixels = 1;
  if (t.integer("pixels", Need::required, 1, 10'000, pixels)) d.pixels = static_cast<int>(pixels);
  t.quantity("current_per_pixel", Need::required, Dim::current, above_zero, d.current_per_pixel.si);
  return d;
}

DeviceSpec read_switch(TableReader& t) {
  SwitchDevice d;
  if (const auto contact = t.choice("contact", Need::required, {"normally open", "normally closed"})) {
    d.normally_closed = *contact == 1;
  }
  t.quantity("bounce", Need::optional, Dim::time, {0.0, 1.0}, d.bounce.si);
  return d;
}

DeviceSpec read_encoder(TableReader& t) {
  EncoderDevice d;
  std::int64_t lines = 0;
  if (t.integer("lines_per_revolution", Need::required, 1, 100'000, lines)) {
    d.lines_per_revolution = static_cast<int>(lines);
  }
  return d;
}

DeviceSpec read_analogue(TableReader& t) {
  AnalogueDevice d;
  if (const auto what = t.choice("measures", Need::required, {"angle", "distance"})) d.measures_distance = *what == 1;
  const Dim dimension = d.measures_distance ? Dim::length : Dim::angle;
  t.quantity("low_value", Need::required, dimension, any_sign, d.low_value);
  const bool high = t.quantity("high_value", Need::required, dimension, any_sign, d.high_value);
  t.quantity("at_low", Need::required, Dim::voltage, from_zero, d.at_low.si);
  const bool voltage = t.quantity("at_high", Need::required, Dim::voltage, from_zero, d.at_high.si);
  t.quantity("noise_rms", Need::optional, Dim::voltage, from_zero, d.noise_rms.si);
  t.quantity("supply", Need::optional, Dim::voltage, above_zero, d.supply.si);
  if (high && d.high_value <= d.low_value) {
    t.error("high_value", "catalogue.empty-range", fmt::format("high_value of {} is not above low_value", t.what()),
            "a sensor whose voltage falls has at_low above at_high");
  }
  if (voltage && d.at_low == d.at_high) {
    t.error("at_high", "catalogue.empty-range", fmt::format("{} gives the same voltage at both ends", t.what()));
  }
  return d;
}

DeviceSpec read_bus_device(TableReader& t) {
  BusDevice d;
  t.text("bus", Need::required, "i2c", d.bus);
  std::int64_t address = 0;
  if (t.integer("address", Need::required, 0, 1023, address)) d.address = static_cast<int>(address);
  t.text("identity", Need::optional, "answers 0x33 in register 0x0F", d.identity);
  return d;
}

DeviceSpec read_battery(TableReader& t) {
  BatteryDevice d;
  t.text("chemistry", Need::required, "lead-acid agm", d.chemistry);
  t.quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  t.quantity("capacity", Need::required, Dim::charge, above_zero, d.capacity.si);
  const bool full = t.quantity("open_circuit_full", Need::required, Dim::voltage, above_zero, d.open_circuit_full.si);
  t.quantity("open_circuit_empty", Need::required, Dim::voltage, above_zero, d.open_circuit_empty.si);
  t.quantity("internal", Need::required, Dim::resistance, above_zero, d.internal.si);
  if (full && d.open_circuit_full <= d.open_circuit_empty) {
    t.error("open_circuit_full", "catalogue.battery-figures",
            fmt::format("the full voltage of {} is not above the empty one", t.what()), "they are probably exchanged");
  }
  return d;
}

DeviceSpec read_protection(TableReader& t, ProtectionKind kind) {
  ProtectionDevice d;
  d.kind = kind;
  const char* rating = kind == ProtectionKind::resettable ? "hold" : "rating";
  t.quantity(rating, Need::required, Dim::current, above_zero, d.rating.si);
  t.quantity("cold", Need::required, Dim::resistance, above_zero, d.cold.si);
  if (kind == ProtectionKind::fuse) {
    t.quantity("melting", Need::required, Dim::melting_integral, above_zero, d.melting_i2t);
  }
  if (kind == ProtectionKind::resettable && t.quantity("trip", Need::required, Dim::current, above_zero, d.trip.si) &&
      d.trip <= d.rating) {
    t.error("trip", "catalogue.trip-below-hold", fmt::format("{} would trip at a current that it holds", t.what()),
            "the trip current is above the hold current");
  }
  return d;
}

DeviceSpec read_fuse(TableReader& t) {
  return read_protection(t, ProtectionKind::fuse);
}
DeviceSpec read_breaker(TableReader& t) {
  return read_protection(t, ProtectionKind::breaker);
}
DeviceSpec read_resettable(TableReader& t) {
  return read_protection(t, ProtectionKind::resettable);
}

DeviceSpec read_connector(TableReader& t) {
  ConnectorDevice d;
  t.quantity("contact", Need::required, Dim::resistance, above_zero, d.contact.si);
  t.quantity("rating", Need::required, Dim::current, above_zero, d.rating.si);
  return d;
}

struct DeviceTable {
  const char* key;
  DeviceSpec (*read)(TableReader&);
};

constexpr DeviceTable device_tables[] = {
    {"motor", read_motor},         {"on_off", read_on_off},         {"servo", read_servo},
    {"light", read_light},         {"switch", read_switch},         {"encoder", read_encoder},
    {"analogue", read_analogue},   {"bus_device", read_bus_device}, {"battery", read_battery},
    {"fuse", read_fuse},           {"breaker", read_breaker},       {"resettable", read_resettable},
    {"connector", read_connector},
};

}  // namespace

void read_devices(TableReader& file, Catalogue& into) {
  for (const DeviceTable& kind : device_tables) {
    for (const Node* node : file.tables(kind.key)) {
      TableReader table(file.source(), *node, fmt::format("a [[{}]]", kind.key), file.found());
      Device device;
      const bool named = table.text("name", Need::required, "gear_motor_12v", device.name);
      if (named) table.rename(fmt::format("{} \"{}\"", kind.key, shown(device.name)));
      table.text("description", Need::optional, "as printed on its label", device.description);
      table.text("source", Need::required, "maker's data sheet, revision 3, page 4", device.source);
      device.spec = kind.read(table);
      table.finish();
      if (named && into.device(device.name) != nullptr) {
        table.error("name", "catalogue.name-taken",
                    fmt::format("the catalogue has a device \"{}\" already", shown(device.name)),
                    "give yours another name");
        continue;
      }
      into.devices.push_back(std::move(device));
    }
  }
}

}  // namespace ringout::robot
