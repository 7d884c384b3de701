#include "cold/expected.h"

#include <algorithm>

#include "physics/wire.h"

namespace ringout::cold {
namespace {

constexpr double winding_spread = 0.1;  // where the sheet states no tolerance: common practice (from memory)
constexpr double brush_rise = 1.6;      // of a lower quartile over the winding

// Over the figure itself: as far as the sheet says, else by common practice.
double spread_of(const robot::Device& device, std::string_view key, double value) {
  const double half_width = stated_half_width(device, key);
  return half_width > 0.0 ? half_width / value : winding_spread;
}

Ohms coil(double ohms, double spread) {
  const double cold = physics::copper_resistance_factor(celsius(0)) / physics::copper_resistance_factor(celsius(25));
  const double warm = physics::copper_resistance_factor(celsius(45)) / physics::copper_resistance_factor(celsius(25));
  return {ohms * (1.0 - spread) * cold, ohms * (1.0 + spread) * warm};
}

Ohms on_off(const robot::OnOffDevice& device, double spread) {
  const double hot = device.nominal / device.current / ohms(1);
  const double at_once = hot / std::max(1.0, device.inrush_factor);
  switch (device.form) {
    case robot::LoadForm::lamp:  // a cold filament has a tenth to a fifteenth of its hot resistance
      return {std::min(hot / 15.0, 0.8 * at_once), hot};
    case robot::LoadForm::solenoid:
    case robot::LoadForm::valve:
      return coil(hot, spread);
    case robot::LoadForm::pump:
    case robot::LoadForm::other:
      break;
  }
  return {coil(at_once, spread).low, std::max(coil(hot, spread).high, coil(at_once, spread).high * brush_rise)};
}

}  // namespace

Ohms one_lead(const robot::Wire& wire) {
  const double nominal = wire.loop().si / 2.0;
  return {nominal * physics::copper_resistance_factor(celsius(0)),
          nominal * 1.05 * physics::copper_resistance_factor(celsius(45))};
}

Ohms contacts(const robot::Robot& robot, const std::string& connector, int count) {
  if (connector.empty()) return {};
  const auto* part = robot.device_of(connector).as<robot::ConnectorDevice>();
  return {0.0, part == nullptr ? 0.0 : 3.0 * part->contact.si * count};
}

Ohms protection(const robot::ProtectionDevice& device) {
  const double low = device.r_min ? device.r_min->si : 0.7 * device.cold.si;
  const double high = device.r1_max ? device.r1_max->si : 1.5 * device.cold.si;
  return {low, std::max(low, high)};
}

bool has_brushes(const robot::Device& device) {
  if (device.as<robot::MotorDevice>() != nullptr) return true;
  const auto* load = device.as<robot::OnOffDevice>();
  return load != nullptr && load->form == robot::LoadForm::pump;
}

Ohms across(const robot::Device& device) {
  if (const auto* motor = device.as<robot::MotorDevice>()) {
    const double spread = motor->constants
                              ? spread_of(device, "terminal_resistance", motor->constants->terminal_resistance.si)
                              : spread_of(device, "stall_current", motor->stall_current.si);
    const Ohms winding = coil(motor->nominal / motor->stall_current / ohms(1), spread);
    return {winding.low, winding.high * brush_rise};
  }
  if (const auto* load = device.as<robot::OnOffDevice>()) {
    return on_off(*load, spread_of(device, "current", load->current.si));
  }
  return {0.0, 0.0};
}

double stated_half_width(const robot::Device& device, std::string_view key) {
  const std::string path = "device." + device.name + "." + std::string(key);
  for (const robot::Tolerance& t : device.tolerances) {
    if (t.path == path) return t.half_width;
  }
  return 0.0;
}

Ohms as_metered(Ohms ohms) {
  return {std::max(0.0, 0.99 * ohms.low - 0.2), 1.01 * ohms.high + 0.2};
}

}  // namespace ringout::cold
