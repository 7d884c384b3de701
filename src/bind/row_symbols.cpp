#include "bind/row_symbols.h"

#include <string_view>

#include "base/check.h"

namespace ringout::bind {
namespace {

// The catalogue gives an on/off load its current, not its shape; its own words tell which symbol a reader expects.
Symbol on_off_symbol(const robot::Device& device) {
  const auto says = [&device](std::string_view word) {
    return device.name.find(word) != std::string::npos || device.description.find(word) != std::string::npos;
  };
  if (says("pump")) return Symbol::pump;
  if (says("lamp") || says("beacon")) return Symbol::lamp;
  if (says("valve") || says("solenoid") || says("relay")) return Symbol::coil;
  return Symbol::load;
}

Symbol contact_symbol(const robot::Device& device, robot::SensesWhat senses) {
  const auto* contact = device.as<robot::SwitchDevice>();
  const bool closed = contact != nullptr && contact->normally_closed;
  const bool by_travel = senses == robot::SensesWhat::travel_low_end || senses == robot::SensesWhat::travel_high_end;
  if (by_travel) return closed ? Symbol::position_switch_closed : Symbol::position_switch_open;
  return closed ? Symbol::contact_closed : Symbol::contact_open;
}

}  // namespace

Symbol protection_symbol(const robot::Robot& robot, const robot::Protection& protection) {
  const auto* device = robot.device_of(protection.device).as<robot::ProtectionDevice>();
  RINGOUT_CHECK(device != nullptr);
  switch (device->kind) {
    case robot::ProtectionKind::breaker:
      return Symbol::breaker;
    case robot::ProtectionKind::resettable:
      return Symbol::resettable;
    case robot::ProtectionKind::fuse:
      return Symbol::fuse;
  }
  return Symbol::fuse;
}

Symbol device_symbol(const robot::Robot& robot, const Row& row) {
  const robot::Device& device = robot.device_of(row.output != nullptr ? row.output->device : row.input->device);
  switch (row.kind()) {
    case robot::PointKind::bridge_motor:
      return Symbol::motor;
    case robot::PointKind::servo:
      return Symbol::servo;
    case robot::PointKind::on_off:
      return on_off_symbol(device);
    case robot::PointKind::light:
      return Symbol::lamp;
    case robot::PointKind::switch_input:
      return contact_symbol(device, row.input->senses);
    case robot::PointKind::encoder:
      return Symbol::encoder;
    case robot::PointKind::bus_device:
      return Symbol::bus_device;
    case robot::PointKind::analogue: {
      const auto* analogue = device.as<robot::AnalogueDevice>();
      return analogue != nullptr && analogue->measures_distance ? Symbol::distance_sensor : Symbol::potentiometer;
    }
  }
  return Symbol::load;
}

}  // namespace ringout::bind
