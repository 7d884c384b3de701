#include "bind/words.h"

#include <fmt/format.h>

#include <cmath>

namespace ringout::bind {
namespace {

struct DeviceWords {
  std::string operator()(const robot::MotorDevice& m) const {
    return fmt::format("{:.3g} V, {:.0f} rpm free, stalls at {:.3g} A", m.nominal.in(volts(1)), m.free_speed.in(rpm(1)),
                       m.stall_current.in(amperes(1)));
  }
  std::string operator()(const robot::OnOffDevice& d) const {
    return fmt::format("{:.3g} V, {:.3g} A", d.nominal.in(volts(1)), d.current.in(amperes(1)));
  }
  std::string operator()(const robot::ServoDevice& d) const {
    return fmt::format("{:.3g} V, stalls at {:.3g} A", d.nominal.in(volts(1)), d.stall_current.in(amperes(1)));
  }
  std::string operator()(const robot::LightDevice& d) const { return fmt::format("{} pixels", d.pixels); }
  std::string operator()(const robot::SwitchDevice& d) const {
    return d.normally_closed ? "closed at rest" : "open at rest";
  }
  std::string operator()(const robot::EncoderDevice& d) const {
    return fmt::format("{} lines a turn", d.lines_per_revolution);
  }
  std::string operator()(const robot::AnalogueDevice& d) const {
    const Measured measured = d.measures_distance ? Measured::length : Measured::angle;
    return fmt::format("{:.3g} V at {}, {:.3g} V at {}", d.at_low.in(volts(1)), number_in_unit(d.low_value, measured),
                       d.at_high.in(volts(1)), number_in_unit(d.high_value, measured));
  }
  std::string operator()(const robot::BusDevice& d) const {
    return fmt::format("{} address 0x{:02X}", d.bus, d.address);
  }
  std::string operator()(const robot::BatteryDevice& d) const {
    return fmt::format("{:.3g} V, {:.3g} Ah", d.nominal.in(volts(1)), d.capacity.in(ampere_hours(1)));
  }
  std::string operator()(const robot::ProtectionDevice& d) const {
    if (d.kind == robot::ProtectionKind::resettable) {
      return fmt::format("holds {:.3g} A, trips {:.3g} A", d.rating.in(amperes(1)), d.trip.in(amperes(1)));
    }
    return fmt::format("{:.3g} A", d.rating.in(amperes(1)));
  }
  std::string operator()(const robot::ConnectorDevice& d) const {
    return fmt::format("{:.3g} A", d.rating.in(amperes(1)));
  }
};

}  // namespace

std::string number_in_unit(double si, Measured measured) {
  switch (measured) {
    case Measured::state:
      return si > 0.5 ? "on" : "off";
    case Measured::angle:
      return fmt::format("{:.4g}°", radians(si).in(degrees(1)));
    case Measured::length:
      return fmt::format("{:.4g} m", si);
  }
  return {};
}

std::string words_of(const robot::Wire& wire) {
  const double length = wire.length.in(metres(1));
  if (wire.awg > 0) return fmt::format("AWG {}, {:.3g} m", wire.awg, length);
  const double section = wire.cross_section.in(square_millimetres(1));
  if (section > 0.0) return fmt::format("{:.3g} mm², {:.3g} m", section, length);
  return {};
}

std::string words_of(const robot::Device& device) {
  return std::visit(DeviceWords{}, device.spec);
}

std::string words_of(const robot::Mechanism& m) {
  std::string text = fmt::format("gear {:.4g}:1", m.gear_ratio);
  if (!m.travel) return text + ", no end";
  const Measured measured = m.travel_is_length ? Measured::length : Measured::angle;
  const double low = m.travel->low;
  const double high = m.travel->high;
  if (measured == Measured::length) return text + fmt::format(", {:.3g} to {:.3g} m", low, high);
  return text + fmt::format(", {:.3g} to {:.3g}°", radians(low).in(degrees(1)), radians(high).in(degrees(1)));
}

std::string words_of(const InputScale& scale) {
  switch (scale.measured) {
    case Measured::state:
      return "on while operated";
    case Measured::angle:
      return fmt::format("{:.3g}° a count", radians(scale.scale).in(degrees(1)));
    case Measured::length:
      return fmt::format("{:.3g} mm a count", scale.scale * 1e3);
  }
  return {};
}

std::string watched_by(const robot::Input& input) {
  switch (input.senses) {
    case robot::SensesWhat::nothing:
      return "nothing stated";
    case robot::SensesWhat::output_motion:
      return input.senses_output + (input.on_motor_shaft ? ", motor shaft" : ", output shaft");
    case robot::SensesWhat::travel_low_end:
      return input.senses_output + ", low end of travel";
    case robot::SensesWhat::travel_high_end:
      return input.senses_output + ", high end of travel";
    case robot::SensesWhat::surroundings:
      return "surroundings";
  }
  return {};
}

int conductors_of(robot::PointKind kind) {
  switch (kind) {
    case robot::PointKind::encoder:
    case robot::PointKind::bus_device:
      return 4;  // supply, return, two channels or bus lines
    case robot::PointKind::analogue:
    case robot::PointKind::servo:
    case robot::PointKind::light:
      return 3;
    default:
      return 2;
  }
}

}  // namespace ringout::bind
