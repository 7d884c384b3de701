#include "plant/as_built.h"

#include <algorithm>
#include <utility>

#include "base/check.h"
#include "physics/motor.h"
#include "plant/chance.h"

namespace ringout::plant {
namespace {

BuiltOutput* output_of(AsBuilt& built, const std::string& name) {
  for (BuiltOutput& o : built.outputs) {
    if (o.drawn->name == name) return &o;
  }
  return nullptr;
}

BuiltInput* input_of(AsBuilt& built, const std::string& name) {
  for (BuiltInput& i : built.inputs) {
    if (i.drawn->name == name) return &i;
  }
  return nullptr;
}

void exchange(AsBuilt& built, const std::string& one, const std::string& other) {
  if (BuiltOutput* a = output_of(built, one)) {
    BuiltOutput* b = output_of(built, other);
    RINGOUT_CHECK(b != nullptr);
    std::swap(a->port, b->port);
    return;
  }
  BuiltInput* a = input_of(built, one);
  BuiltInput* b = input_of(built, other);
  RINGOUT_CHECK(a != nullptr && b != nullptr);
  std::swap(a->port, b->port);
}

Intermittent intermittent_of(const Deviation& d) {
  Intermittent result;
  result.open_share = std::clamp(d.fraction.value_or(result.open_share), 0.0, 1.0);
  result.mean_open_s = std::max(1e-3, d.mean_open_s.value_or(result.mean_open_s));
  return result;
}

void apply_to_protection(AsBuilt& built, const robot::Robot& drawn, const std::string& part) {
  for (std::size_t n = 0; n < drawn.protections.size(); ++n) {
    if (drawn.protections[n].name == part) {
      built.open_protections.push_back(n);
      return;
    }
  }
  RINGOUT_CHECK(false && "protection of a deviation");
}

void apply_to_output(BuiltOutput& o, const Deviation& d, const robot::Robot& drawn) {
  switch (d.kind) {
    case DeviationKind::leads_reversed:
      o.leads_reversed = !o.leads_reversed;
      return;
    case DeviationKind::open_wire:
      o.open_wire = true;
      return;
    case DeviationKind::intermittent_wire:
      o.intermittent = intermittent_of(d);
      return;
    case DeviationKind::dead_device:
      o.dead = true;
      return;
    case DeviationKind::jammed:
      o.jammed = true;
      return;
    case DeviationKind::slipping:
      o.slipping = true;
      return;
    case DeviationKind::stiff:
      o.friction_factor *= d.factor.value_or(4.0);
      return;
    case DeviationKind::weak_device:
      o.winding_factor *= d.factor.value_or(4.0);
      return;
    case DeviationKind::shorted_wire:
      o.shorted = true;
      return;
    case DeviationKind::wrong_device:
      o.device = &drawn.device_of(d.device);
      return;
    case DeviationKind::on_port:
      o.port = &drawn.port_of(d.port);
      return;
    default:
      return;
  }
}

void apply_to_input(BuiltInput& i, const Deviation& d, const robot::Robot& drawn) {
  switch (d.kind) {
    case DeviationKind::channels_swapped:
      i.channels_swapped = !i.channels_swapped;
      return;
    case DeviationKind::channel_dead:
      (d.channel == "B" ? i.dead_b : i.dead_a) = true;
      return;
    case DeviationKind::open_wire:
      i.open_wire = true;
      return;
    case DeviationKind::intermittent_wire:
      i.intermittent = intermittent_of(d);
      return;
    case DeviationKind::dead_device:
      i.dead = true;
      return;
    case DeviationKind::stuck:
      i.stuck = true;
      return;
    case DeviationKind::wrong_device:
      i.device = &drawn.device_of(d.device);
      return;
    case DeviationKind::on_port:
      i.port = &drawn.port_of(d.port);
      return;
    default:
      return;
  }
}

void apply(AsBuilt& built, const robot::Robot& drawn, const Deviation& d) {
  switch (d.kind) {
    case DeviationKind::exchanged:
      RINGOUT_CHECK(d.points.size() == 2);
      exchange(built, d.points[0], d.points[1]);
      return;
    case DeviationKind::end_switches_exchanged: {
      RINGOUT_CHECK(!d.points.empty());
      const robot::Output* o = drawn.output(d.points.front());
      RINGOUT_CHECK(o != nullptr && o->low_switch && o->high_switch);
      exchange(built, *o->low_switch, *o->high_switch);
      return;
    }
    case DeviationKind::blown_protection:
      apply_to_protection(built, drawn, d.part);
      return;
    case DeviationKind::no_sensor_supply:
      for (BuiltInput& i : built.inputs) i.dead = i.dead || i.port->kind != robot::PortKind::switch_input;
      return;
    case DeviationKind::weak_battery:
      built.state_of_charge = d.state_of_charge.value_or(built.state_of_charge);
      built.battery_resistance_factor *= d.resistance_factor.value_or(1.0);
      return;
    default:
      break;
  }
  if (!d.part.empty()) apply_to_protection(built, drawn, d.part);
  for (const std::string& name : d.points) {
    if (BuiltOutput* o = output_of(built, name)) {
      apply_to_output(*o, d, drawn);
    } else if (BuiltInput* i = input_of(built, name)) {
      apply_to_input(*i, d, drawn);
    } else {
      RINGOUT_CHECK(false && "point of a deviation");
    }
  }
}

double scattered(double value, double share, std::uint64_t seed, std::uint64_t stream, std::uint64_t which) {
  return value * (1.0 + share * (2.0 * unit_of(bits_of(seed, stream, which)) - 1.0));
}

}  // namespace

AsBuilt as_built(const robot::Robot& drawn, const Deviations& deviations) {
  AsBuilt built;
  built.state_of_charge = drawn.battery.state_of_charge.value_or(1.0);
  for (const robot::Output& o : drawn.outputs) {
    built.outputs.push_back({.drawn = &o, .device = &drawn.device_of(o.device), .port = &drawn.port_of(o.port)});
  }
  for (const robot::Input& i : drawn.inputs) {
    built.inputs.push_back({.drawn = &i, .device = &drawn.device_of(i.device), .port = &drawn.port_of(i.port)});
  }
  for (const Deviation& d : deviations.all) apply(built, drawn, d);
  // Last, since it stays with the port when devices are moved.
  for (const Deviation& d : deviations.all) {
    if (d.kind != DeviationKind::dead_port) continue;
    for (BuiltOutput& o : built.outputs) o.dead_port = o.dead_port || o.port->name == d.port;
    for (BuiltInput& i : built.inputs) i.dead_port = i.dead_port || i.port->name == d.port;
  }
  return built;
}

const std::string& feed_of(const robot::Robot& drawn, const robot::BoardPort& port, const robot::Output& device_owner) {
  const std::string* of_bank = nullptr;
  for (const robot::Output& o : drawn.outputs) {
    if (o.port == port.name) return o.fed_by;
    if (of_bank == nullptr && !port.bank.empty() && drawn.port_of(o.port).bank == port.bank) of_bank = &o.fed_by;
  }
  return of_bank != nullptr ? *of_bank : device_owner.fed_by;
}

AxisParameters axis_of(const BuiltOutput& built, const robot::Robot& drawn, std::uint64_t seed) {
  const auto* motor = built.device->as<robot::MotorDevice>();
  RINGOUT_CHECK(motor != nullptr);
  const auto row = physics::motor_from_row({.nominal = motor->nominal,
                                            .free_speed = motor->free_speed,
                                            .free_current = motor->free_current,
                                            .stall_torque = motor->stall_torque,
                                            .stall_current = motor->stall_current});
  RINGOUT_CHECK(row.has_value());
  const physics::MotorConstants& c = row->constants;
  const robot::Output& o = *built.drawn;
  const robot::Mechanism m = o.mechanism.value_or(robot::Mechanism{});
  const std::uint64_t stream = 0x4D6F746FULL + static_cast<std::uint64_t>(built.drawn - drawn.outputs.data());
  double contacts = 0.0;
  if (!o.connector.empty()) {
    if (const auto* plug = drawn.device_of(o.connector).as<robot::ConnectorDevice>()) contacts = 2.0 * plug->contact.si;
  }
  const double wire = o.wire.length.si > 0.0 ? o.wire.loop().si : 0.0;
  const double friction = scattered(c.k.si * c.free_current.si, 0.15, seed, stream, 1);
  const double stall_watts = motor->nominal.si * motor->stall_current.si;
  AxisParameters p;
  p.winding_resistance = scattered(c.winding.si, 0.04, seed, stream, 2) * built.winding_factor;
  p.series_resistance = built.port->on_resistance.si + wire + contacts;
  p.inductance = std::max(motor->inductance.si, 1e-6);
  p.k = scattered(c.k.si, 0.03, seed, stream, 3);
  p.gear = m.gear_ratio;
  p.rotor_inertia = std::max(motor->rotor_inertia.si, 1e-9);
  // The free current is friction that partly grows with speed: 70 % at once, 30 % by free speed.
  p.rotor_friction = 0.7 * friction;
  p.rotor_viscous = 0.3 * friction / motor->free_speed.si;
  p.cogging = 0.25 * friction;
  p.cogging_periods = 14;
  p.ripple = 0.03;
  p.ripple_periods = 10;
  p.efficiency = std::clamp(m.gear_efficiency, 0.05, 1.0);
  p.half_backlash = 0.5 * m.backlash.si;
  p.load_inertia = m.inertia.si;
  p.load_friction = scattered(m.friction.si, 0.15, seed, stream, 4) * built.friction_factor;
  p.load_viscous = m.viscous.si;
  const double radius = m.radius ? m.radius->si : 1.0;
  p.weight_torque = m.lifted.si * standard_gravity.si * (m.radius ? m.radius->si : 0.0);
  p.stribeck_speed = 0.02 * motor->free_speed.si / m.gear_ratio;
  p.coupled = !built.slipping;
  p.self_locking = m.self_locking;
  p.jammed = built.jammed;
  p.current_limit = built.port->current_limit.si;
  // A small motor bears about 8 % of its stall power for a 60 K rise, with a time constant of some minutes (estimate).
  p.thermal_resistance = 60.0 / (0.08 * stall_watts);
  p.heat_capacity = 300.0 / p.thermal_resistance;
  if (m.travel) {
    const double per_radian = m.travel_is_length ? radius : 1.0;
    p.low_stop = m.travel->low / per_radian;
    p.high_stop = m.travel->high / per_radian;
  }
  return p;
}

}  // namespace ringout::plant
