#include "desk/device_models.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "base/check.h"

namespace ringout::desk {
namespace {

constexpr Temperature sheet = celsius(25);
constexpr double same_kelvin = 0.5;
constexpr double same_multiple = 1e-6;
constexpr Temperature hottest_magnets = celsius(150);

bool same(Temperature a, Temperature b) {
  return std::abs(a.si - b.si) < same_kelvin;
}

// Rows of a catalogue by rising temperature. This is done anew for every load case and draw, so in place.
using Rows = std::span<const robot::InternalPoint>;
// The leading ones, which are of one temperature.
Rows of_first_temperature(Rows rows) {
  std::size_t n = 1;
  while (n < rows.size() && same(rows[0].at, rows[n].at)) ++n;
  return rows.first(n);
}

// Of the temperature with most rows, of several the one nearest to the sheet's.
Rows most_rows(Rows rows) {
  Rows best = of_first_temperature(rows);
  for (Rows rest = rows.subspan(best.size()); !rest.empty();) {
    const Rows next = of_first_temperature(rest);
    const bool nearer = std::abs(next[0].at.si - sheet.si) < std::abs(best[0].at.si - sheet.si);
    if (next.size() > best.size() || (next.size() == best.size() && nearer)) best = next;
    rest = rest.subspan(next.size());
  }
  return best;
}

// The resistance over that of the charged battery, or over `charged` where the rows state none.
std::vector<physics::FactorAtCharge> factors_by_charge(Rows rows, Resistance charged) {
  std::vector<physics::FactorAtCharge> factors;
  factors.reserve(rows.size() + 1);
  for (const robot::InternalPoint& p : rows) factors.push_back({p.state_of_charge, p.internal.si});
  std::sort(factors.begin(), factors.end(),
            [](const auto& a, const auto& b) { return a.state_of_charge < b.state_of_charge; });
  const bool full_given = factors.back().state_of_charge >= 1.0;
  const double whole = full_given ? factors.back().factor : charged.si;
  for (physics::FactorAtCharge& f : factors) f.factor /= whole;
  if (!full_given) factors.push_back({1.0, 1.0});
  return factors;
}

// The catalogue's own, each point filled from its neighbours by the law of protection_limits.h.
std::vector<physics::LimitPoint> stated_limits(const robot::ProtectionDevice& device) {
  std::vector<physics::LimitPoint> limits;
  Time latest = physics::for_ever();
  for (const robot::LimitPoint& p : device.limits) {
    latest = std::min(latest, p.latest.value_or(physics::for_ever()));
    limits.push_back({.multiple = p.multiple, .earliest = p.earliest, .latest = latest});
  }
  Time earliest;
  for (auto p = limits.rbegin(); p != limits.rend(); ++p) p->earliest = earliest = std::max(earliest, p->earliest);
  return limits;
}

// Its rated current it carries for ever, whatever time the table states for it.
std::vector<physics::LimitPoint> with_rating_carried(std::span<const physics::LimitPoint> limits) {
  std::vector<physics::LimitPoint> all{
      {.multiple = 1.0, .earliest = physics::for_ever(), .latest = physics::for_ever()}};
  for (const physics::LimitPoint& p : limits) {
    if (p.multiple > all.back().multiple * (1.0 + same_multiple)) all.push_back(p);
  }
  return all;
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
  m.open_circuit.reserve(device.open_circuit.size());
  for (const robot::OpenCircuitPoint& p : device.open_circuit) {
    m.open_circuit.push_back({.state_of_charge = p.state_of_charge, .open_circuit = p.open_circuit});
  }
  if (m.open_circuit.empty()) {
    m.open_circuit = {{.state_of_charge = 0.0, .open_circuit = device.open_circuit_empty},
                      {.state_of_charge = 1.0, .open_circuit = device.open_circuit_full}};
  }
  if (device.internal_at.empty() || device.internal.si <= 0.0) return m;
  std::vector<robot::InternalPoint> sorted = device.internal_at;
  std::sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) { return a.at < b.at; });
  m.by_charge = factors_by_charge(most_rows(sorted), device.internal);
  m.by_temperature.reserve(sorted.size() + 1);
  bool sheet_given = false;
  for (Rows rest = sorted; !rest.empty();) {
    const Rows of_one = of_first_temperature(rest);
    rest = rest.subspan(of_one.size());
    double sum = 0.0;
    for (const robot::InternalPoint& p : of_one) {
      sum += p.internal / device.internal / physics::resistance_factor(m.by_charge, p.state_of_charge);
    }
    m.by_temperature.push_back({of_one[0].at, sum / static_cast<double>(of_one.size())});
    sheet_given |= same(of_one[0].at, sheet);
  }
  if (sheet_given) return m;
  const auto warmer = std::find_if(m.by_temperature.begin(), m.by_temperature.end(),
                                   [](const auto& f) { return f.temperature > sheet; });
  m.by_temperature.insert(warmer, {sheet, 1.0});
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
  return physics::time_to_open(limits, std::abs(i / rating));
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
  ProtectionModel m{.rating = rating_at(device, ambient), .limits = {}, .basis = "trip.catalogue"};
  if (!device.limits.empty()) {
    m.limits = with_rating_carried(stated_limits(device));
  } else if (device.kind == robot::ProtectionKind::resettable) {
    m.basis = "trip.resettable";
    m.limits = with_rating_carried({});
    if (device.max_trip_at && device.max_trip_within && *device.max_trip_at > device.rating) {
      m.limits.push_back(
          {.multiple = *device.max_trip_at / device.rating, .earliest = seconds(0), .latest = *device.max_trip_within});
    }
  } else {
    const bool fuse = device.kind == robot::ProtectionKind::fuse;
    m.basis = fuse ? "trip.blade" : "trip.breaker";
    m.limits = with_rating_carried((fuse ? physics::blade_fuse_limits() : physics::breaker_limits()).points);
  }
  RINGOUT_CHECK(physics::is_orderly(m.limits));  // the catalogue's reading refuses what contradicts itself
  return m;
}

}  // namespace ringout::desk
