// What a sensor takes of the board's sensor supply.
#pragma once

#include "robot/catalogue.h"

namespace ringout::robot {

// By its sheet, mostly the most that it takes; nothing for a switch and for what is no sensor.
[[nodiscard]] inline Current sensor_current(const Device& device) {
  if (const auto* encoder = device.as<EncoderDevice>()) return encoder->supply_current;
  if (const auto* analogue = device.as<AnalogueDevice>()) return analogue->supply_current;
  if (const auto* bus = device.as<BusDevice>()) return bus->supply_current;
  return {};
}

}  // namespace ringout::robot
