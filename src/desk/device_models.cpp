#include "desk/device_models.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace ringout::desk {
namespace {

constexpr Temperature sheet = celsius(25);
constexpr double same_kelvin = 0.5;
constexpr Temperature hottest_magnets = celsius(150);

bool at_sheet(Temperature t) {
  return std::abs(t.si - sheet.si) < same_kelvin;
}

}  // namespace

Voltage BatteryModel::open_at(double state_of_charge) const {
  return physics::open_circuit(open_circuit, state_of_charge);
}

Resistance BatteryModel::internal_at(double state_of_charge, Temperature t) const {
  return internal * physics::resistance_factor(by_charge, state_of_charge) *
         physics::resistance_factor(by_temperature, t);
}

BatteryModel battery_model(const robot::BatteryDevice& device) {
  BatteryModel m;
  m.internal = device.internal;
  m.rating = {.capacity = device.capacity, .rated_time = device.rated_time, .exponent = device.peukert_exponent};
  for (const robot::OpenCircuitPoint& p : device.open_circuit) {
    m.open_circuit.push_back({.state_of_charge = p.state_of_charge, .open_circuit = p.open_circuit});
  }
  if (m.open_circuit.empty()) {
    m.open_circuit = {{.state_of_charge = 0.0, .open_circuit = device.open_circuit_empty},
                      {.state_of_charge = 1.0, .open_circuit = device.open_circuit_full}};
  }
  if (device.internal_at.empty() || device.internal.si <= 0.0) return m;
  for (const robot::InternalPoint& p : device.internal_at) {
    if (at_sheet(p.at)) m.by_charge.push_back({p.state_of_charge, p.internal / device.internal});
  }
  const bool full_given = std::any_of(m.by_charge.begin(), m.by_charge.end(),
                                      [](const physics::FactorAtCharge& f) { return f.state_of_charge >= 1.0; });
  if (!full_given) m.by_charge.push_back({1.0, 1.0});
  std::sort(m.by_charge.begin(), m.by_charge.end(),
            [](const auto& a, const auto& b) { return a.state_of_charge < b.state_of_charge; });
  m.by_temperature.push_back({sheet, 1.0});
  for (const robot::InternalPoint& p : device.internal_at) {
    if (at_sheet(p.at)) continue;
    const double of_charge = physics::resistance_factor(m.by_charge, p.state_of_charge);
    m.by_temperature.push_back({p.at, p.internal / device.internal / of_charge});
  }
  std::sort(m.by_temperature.begin(), m.by_temperature.end(),
            [](const auto& a, const auto& b) { return a.temperature < b.temperature; });
  return m;
}

Result<physics::MotorFromRow> motor_row(const robot::MotorDevice& device) {
  if (device.constants) {
    return physics::motor_from_row(physics::TerminalRow{.terminal = device.constants->terminal_resistance,
                                                        .torque_constant = device.constants->torque_constant,
                                                        .speed_constant = std::nullopt,
                                                        .free_current = device.constants->no_load_current});
  }
  return physics::motor_from_row(physics::MotorRow{.nominal = device.nominal,
                                                   .free_speed = device.free_speed,
                                                   .free_current = device.free_current,
                                                   .stall_torque = device.stall_torque,
                                                   .stall_current = device.stall_current});
}

physics::MotorConstants motor_at(const robot::MotorDevice& device, const physics::MotorConstants& cold,
                                 physics::MotorTemperatures now) {
  now.magnets = std::min(now.magnets, hottest_magnets);
  return physics::at_temperature(cold, {}, now, {device.magnet_coefficient.si});
}

physics::MotorConstants motor_at(const robot::MotorDevice& device, const physics::MotorConstants& cold, Temperature t) {
  return motor_at(device, cold, {.winding = t, .magnets = t});
}

std::optional<physics::MotorBodies> motor_bodies(const robot::MotorDevice& device, Resistance winding) {
  if (!device.heat) return std::nullopt;
  return physics::MotorBodies{.winding_to_housing = {device.heat->winding_to_housing.si},
                              .housing_to_ambient = {device.heat->housing_to_ambient.si},
                              .winding = {device.heat->winding_capacity.si},
                              .housing = {device.heat->housing_capacity.si},
                              .resistance = winding,
                              .at = sheet};
}

physics::Gear gear_of(const robot::Mechanism& m) {
  return {.ratio = m.gear_ratio,
          .efficiency = m.gear_efficiency,
          .back_efficiency = m.self_locking ? std::optional<double>(0.0) : std::nullopt};
}

physics::Load load_of(const robot::Mechanism& m) {
  const Torque weight = m.radius ? m.lifted * standard_gravity * *m.radius : Torque{};
  return {.weight = weight, .friction = m.friction, .viscous = m.viscous};
}

MechanismCurrent mechanism_current(const physics::MotorConstants& motor,
                                   const std::optional<robot::Mechanism>& mechanism) {
  const Current i0 = motor.free_current;
  if (!mechanism) return {.forward = {.steady = i0}, .back = {.steady = -i0}};
  const physics::Gear gear = gear_of(*mechanism);
  const physics::Load load = load_of(*mechanism);
  const auto running = [&](int direction) {
    const Torque on_load = load.weight + load.friction * static_cast<double>(direction);
    const double e = physics::gear_factor(gear, on_load, direction);
    return RunningCurrent{.steady = i0 * static_cast<double>(direction) + on_load * e / (motor.k * gear.ratio),
                          .rising = {e * load.viscous.si / (gear.ratio * gear.ratio * motor.k.si)}};
  };
  return {.forward = running(1), .back = running(-1)};
}

Inertia inertia_at_rotor(const robot::MotorDevice& motor, const std::optional<robot::Mechanism>& mechanism) {
  if (!mechanism) return motor.rotor_inertia;
  const double n = mechanism->gear_ratio;
  return motor.rotor_inertia + mechanism->inertia / (n * n * mechanism->gear_efficiency);
}

physics::OpeningInterval ProtectionModel::time_to_open(Current i) const {
  const double multiple = std::abs(i / rating);
  if (multiple <= 1.0) return {.earliest = physics::for_ever(), .latest = physics::for_ever()};
  return physics::time_to_open(limits, multiple);
}

std::vector<physics::AmbientFactor> derating_of(const robot::ProtectionDevice& device) {
  std::vector<physics::AmbientFactor> derating;
  derating.reserve(device.derating.size());
  for (const robot::DeratingPoint& p : device.derating) derating.push_back({p.ambient, p.factor});
  return derating;
}

Current rating_at(const robot::ProtectionDevice& device, Temperature ambient) {
  return physics::effective_rating(device.rating, physics::ambient_factor(derating_of(device), ambient));
}

ProtectionModel protection_model(const robot::ProtectionDevice& device, Temperature ambient) {
  ProtectionModel m{
      .rating = rating_at(device, ambient), .rated = device.rating, .limits = {}, .basis = "trip.catalogue"};
  m.limits.reserve(device.limits.size());
  for (const robot::LimitPoint& p : device.limits) {
    m.limits.push_back(
        {.multiple = p.multiple, .earliest = p.earliest, .latest = p.latest.value_or(physics::for_ever())});
  }
  if (!m.limits.empty() && physics::is_orderly(m.limits)) return m;
  if (device.kind == robot::ProtectionKind::resettable) {
    m.basis = "trip.resettable";
    m.limits = {{.multiple = 1.0, .earliest = physics::for_ever(), .latest = physics::for_ever()}};
    if (device.max_trip_at && device.max_trip_within && *device.max_trip_at > device.rating) {
      m.limits.push_back(
          {.multiple = *device.max_trip_at / device.rating, .earliest = seconds(0), .latest = *device.max_trip_within});
    }
    return m;
  }
  const bool fuse = device.kind == robot::ProtectionKind::fuse;
  const physics::LimitTable table = fuse ? physics::blade_fuse_limits() : physics::breaker_limits();
  m.basis = fuse ? "trip.blade" : "trip.breaker";
  m.limits.assign(table.points.begin(), table.points.end());
  return m;
}

}  // namespace ringout::desk
