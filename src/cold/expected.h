// What an ohmmeter should show across one part, as [low, high]; intervals add along a path.
#pragma once

#include <string>
#include <string_view>

#include "robot/robot.h"

namespace ringout::cold {

struct Ohms {
  double low = 0.0;
  double high = 0.0;
  Ohms operator+(Ohms o) const { return {low + o.low, high + o.high}; }
};

// One lead: copper from 0 to 45 degC, stranded up to 5 % over solid.
[[nodiscard]] Ohms one_lead(const robot::Wire& wire);
// Contacts of a connector: up to three times the figure before a crimp counts as bad.
[[nodiscard]] Ohms contacts(const robot::Robot& robot, const std::string& connector, int count);
[[nodiscard]] Ohms protection(const robot::ProtectionDevice& device);
// A device between its two leads. Brushes scatter upwards by several to one: a motor's interval is for the lower
// quartile of several readings with the shaft turned between (physics/resistance_readings.h).
[[nodiscard]] Ohms across(const robot::Device& device);
[[nodiscard]] bool has_brushes(const robot::Device& device);
// How far a figure of the device may be off by its own sheet, SI; 0: not stated. `key` as in the catalogue file.
[[nodiscard]] double stated_half_width(const robot::Device& device, std::string_view key);
// The meter's own uncertainty: 1 % and 0.2 ohm.
[[nodiscard]] Ohms as_metered(Ohms ohms);

}  // namespace ringout::cold
