#include <fmt/format.h>

#include "robot/catalogue_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

namespace {

using Dim = Dimension;

DeviceSpec read_on_off(TableReader& t) {
  OnOffDevice d;
  t.quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  t.quantity("current", Need::required, Dim::current, above_zero, d.current.si);
  t.number("inrush_factor", Need::optional, {1.0, 100.0}, d.inrush_factor);
  t.quantity("inrush_time", Need::optional, Dim::time, from_zero, d.inrush_time.si);
  if (const auto form = t.choice("form", Need::optional, {"other", "solenoid", "valve", "lamp", "pump"})) {
    d.form = static_cast<LoadForm>(*form);
  }
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
  t.quantity("supply", Need::optional, Dim::voltage, above_zero, d.supply.si);
  t.quantity("supply_current", Need::optional, Dim::current, from_zero, d.supply_current.si);
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
  t.quantity("supply_current", Need::optional, Dim::current, from_zero, d.supply_current.si);
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
  t.quantity("supply", Need::optional, Dim::voltage, above_zero, d.supply.si);
  t.quantity("supply_current", Need::optional, Dim::current, from_zero, d.supply_current.si);
  return d;
}

struct DeviceTable {
  const char* key;
  DeviceSpec (*read)(TableReader&);
};

constexpr DeviceTable device_tables[] = {
    {"motor", read_motor},         {"on_off", read_on_off},         {"servo", read_servo},
    {"light", read_light},         {"switch", read_switch},         {"encoder", read_encoder},
    {"analogue", read_analogue},   {"bus_device", read_bus_device}, {"battery", read_battery_device},
    {"fuse", read_fuse},           {"breaker", read_breaker},       {"resettable", read_resettable},
    {"connector", read_connector},
};

void read_voltage_range(TableReader& table, Device& device) {
  Voltage low;
  Voltage high;
  if (table.exact_quantity("voltage_min", Need::optional, Dim::voltage, from_zero, low.si)) device.voltage_min = low;
  if (table.exact_quantity("voltage_max", Need::optional, Dim::voltage, above_zero, high.si)) device.voltage_max = high;
  if (device.voltage_min && device.voltage_max && high <= low) {
    table.error("voltage_max", "catalogue.empty-range",
                fmt::format("voltage_max of {} is not above voltage_min", table.what()));
  }
}

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
      table.tolerances_into(device.tolerances, fmt::format("device.{}", device.name));
      device.spec = kind.read(table);
      read_voltage_range(table, device);
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
