#include "plant/supply.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace ringout::plant {
namespace {

constexpr double board_capacitance = 470e-6;  // F, at the board's supply terminals; invented, typical
constexpr double node_capacitance = 10e-6;    // F
constexpr double leak = 1e-4;                 // S
constexpr double low_clamp_volts = -1.0;
constexpr double high_clamp_volts = 36.0;
constexpr double tripped_ohms = 60.0;
constexpr double keeps_hot_watts = 0.3;
constexpr double reset_heat = 0.4;
constexpr double cooling_s = 20.0;
constexpr double recovery_s = 30.0;
constexpr double recovery_share = 0.5;  // of the internal resistance

}  // namespace

double Supply::Node::resistance() const {
  return tripped && self_resets ? edge + tripped_ohms : edge;
}

Supply::Supply(const robot::Robot& drawn, double state_of_charge, double resistance_factor) {
  const auto* battery = drawn.device_of(drawn.battery.device).as<robot::BatteryDevice>();
  RINGOUT_CHECK(battery != nullptr);
  charge_ = state_of_charge;
  capacity_ = std::max(battery->capacity.si, 1.0);
  full_volts_ = battery->open_circuit_full.si;
  empty_volts_ = battery->open_circuit_empty.si;
  internal_ = std::max(battery->internal.si, 1e-4) * resistance_factor;
  recovery_resistance_ = recovery_share * internal_;
  Node root;
  root.name = "battery";
  root.edge = drawn.battery.wire.length.si > 0.0 ? drawn.battery.wire.loop().si : 0.0;
  root.capacitance = node_capacitance;
  root.conductance = leak;
  nodes_.push_back(root);
  for (const robot::Protection& p : drawn.protections) {
    const auto* device = drawn.device_of(p.device).as<robot::ProtectionDevice>();
    RINGOUT_CHECK(device != nullptr);
    Node node;
    node.name = p.name;
    node.edge = std::max(1e-4, device->cold.si) + (p.wire.length.si > 0.0 ? p.wire.loop().si : 0.0);
    node.capacitance = node_capacitance;
    node.conductance = leak;
    node.self_resets = device->kind == robot::ProtectionKind::resettable;
    if (device->kind == robot::ProtectionKind::fuse) {
      node.curve = physics::fuse_curve(device->rating, physics::ampere_squared_seconds(device->melting_i2t));
    } else if (node.self_resets) {
      node.curve = physics::resettable_curve(device->rating, std::max(device->trip, 1.3 * device->rating));
    } else {
      node.curve = physics::breaker_curve(device->rating);
    }
    node.inverse_constant = 1.0 / node.curve.constant.si;
    node.heat_rate = node.inverse_constant / (node.curve.boundary.si * node.curve.boundary.si);
    nodes_.push_back(node);
  }
  for (std::size_t n = 0; n < drawn.protections.size(); ++n)
    nodes_[n + 1].parent = node_of(drawn.protections[n].fed_from);
  // Breadth first from the battery: a protection that feeds itself in a circle is never reached (the reader refuses
  // it).
  order_.push_back(0);
  for (std::size_t n = 0; n < order_.size(); ++n) {
    for (std::size_t child = 1; child < nodes_.size(); ++child) {
      if (nodes_[child].parent == order_[n]) order_.push_back(child);
    }
  }
  RINGOUT_CHECK(order_.size() == nodes_.size());
  board_node_ = drawn.board_fed_by.empty() ? (nodes_.size() > 1 ? order_[1] : 0) : node_of(drawn.board_fed_by);
  nodes_[board_node_].capacitance = board_capacitance;
  nodes_[board_node_].conductance += drawn.board.idle_current.si / battery->nominal.si;
  const double volts = empty_volts_ + (full_volts_ - empty_volts_) * charge_;
  for (Node& node : nodes_) node.voltage = volts;
  stored_at_start_ = capacitor_energy();
}

std::size_t Supply::node_of(const std::string& protection) const {
  for (std::size_t n = 1; n < nodes_.size(); ++n) {
    if (nodes_[n].name == protection) return n;
  }
  return 0;
}

void Supply::begin(double dt) {
  dt_ = dt;
  const double per_second = 1.0 / dt;
  for (Node& node : nodes_) {
    const double charging = node.capacitance * per_second;
    node.per_volt = node.conductance + charging;
    node.fixed = node.carried * per_second - charging * node.voltage;
    node.carried = 0.0;
    node.voltage_before = node.voltage;
  }
}

void Supply::add(std::size_t node, Draw draw) {
  nodes_[node].fixed += draw.fixed;
  nodes_[node].per_volt += draw.per_volt;
}

// A node past its clamps: diodes bring it back and turn the rest of the current into heat.
void Supply::clamp(Node& node) {
  if (node.voltage >= low_clamp_volts && node.voltage <= high_clamp_volts) return;
  const double fed = node.current;
  node.voltage = std::clamp(node.voltage, low_clamp_volts, high_clamp_volts);
  const double taken = node.fixed + node.per_volt * node.voltage;
  lost_ += node.voltage * (fed - taken) * dt_;
}

void Supply::solve() {
  for (std::size_t n = order_.size() - 1; n > 0; --n) {
    const Node& node = nodes_[order_[n]];
    if (node.open()) continue;
    const double share = 1.0 / (1.0 + node.per_volt * node.resistance());
    nodes_[node.parent].fixed += node.fixed * share;
    nodes_[node.parent].per_volt += node.per_volt * share;
  }
  // An empty battery has several times the resistance of a full one.
  source_resistance_ = internal_ * (0.857 + 0.15 / (0.05 + std::max(charge_, 0.0)));
  source_volts_ = empty_volts_ + (full_volts_ - empty_volts_) * charge_ - recovery_volts_;
  Node& root = nodes_[0];
  if (disconnected_) {
    battery_current_ = 0.0;
    root.voltage = -root.fixed / root.per_volt;
  } else {
    const double r = source_resistance_ + root.edge;
    root.voltage = (source_volts_ - r * root.fixed) / (1.0 + r * root.per_volt);
    battery_current_ = root.fixed + root.per_volt * root.voltage;
  }
  root.current = battery_current_;
  clamp(root);
  for (std::size_t n = 1; n < order_.size(); ++n) {
    Node& node = nodes_[order_[n]];
    if (node.open()) {
      node.voltage = -node.fixed / node.per_volt;
      node.current = 0.0;
    } else {
      const double r = node.resistance();
      node.voltage = (nodes_[node.parent].voltage - r * node.fixed) / (1.0 + r * node.per_volt);
      node.current = node.fixed + node.per_volt * node.voltage;
    }
    clamp(node);
  }
}

void Supply::protect(Node& node) {
  if (node.tripped && node.self_resets) {
    const double watts = node.current * node.current * tripped_ohms;
    node.heat = watts > keeps_hot_watts ? 1.0 : node.heat - dt_ / cooling_s * node.heat;
    if (node.heat < reset_heat) node.tripped = false;
    return;
  }
  // Open, it takes no current and cools; it stays open until it is reset or replaced.
  node.heat += dt_ * (node.current * node.current * node.heat_rate - node.heat * node.inverse_constant);
  if (node.heat >= 1.0) node.tripped = true;
}

void Supply::finish() {
  for (std::size_t n = 1; n < nodes_.size(); ++n) {
    Node& node = nodes_[n];
    lost_ += node.resistance() * node.current * node.current * dt_;
    protect(node);
  }
  for (const Node& node : nodes_) {
    const double change = node.voltage - node.voltage_before;  // the charging current's heat, as implicit Euler has it
    lost_ += node.conductance * node.voltage * node.voltage * dt_ + 0.5 * node.capacitance * change * change;
  }
  const double i = battery_current_;
  in_ += (source_volts_ + recovery_volts_) * i * dt_;
  lost_ += (source_resistance_ + nodes_[0].edge) * i * i * dt_;
  lost_ += recovery_volts_ * recovery_volts_ / recovery_resistance_ * dt_;
  if (recovery_decay_dt_ != dt_) {
    recovery_decay_dt_ = dt_;
    recovery_decay_ = std::exp(-dt_ / recovery_s);
  }
  const double settled = i * recovery_resistance_;
  recovery_volts_ = settled + (recovery_volts_ - settled) * recovery_decay_;
  charge_ -= i * dt_ / capacity_;
}

void Supply::open_for_ever(std::size_t node) {
  nodes_[node].open_wire = true;
  std::vector<bool> behind(nodes_.size(), false);
  for (const std::size_t n : order_) {
    behind[n] = n == node || (n != 0 && behind[nodes_[n].parent]);
    if (behind[n]) nodes_[n].voltage = 0.0;
  }
  stored_at_start_ = capacitor_energy();
}

double Supply::capacitor_energy() const {
  double sum = 0.0;
  for (const Node& node : nodes_) sum += 0.5 * node.capacitance * node.voltage * node.voltage;
  return sum + 0.5 * recovery_s / recovery_resistance_ * recovery_volts_ * recovery_volts_;
}

SupplyLedger Supply::ledger() const {
  return {.in = in_, .lost = lost_, .stored = capacitor_energy() - stored_at_start_};
}

std::vector<std::string> Supply::tripped() const {
  std::vector<std::string> names;
  for (std::size_t n = 1; n < nodes_.size(); ++n) {
    if (nodes_[n].tripped || nodes_[n].open_wire) names.push_back(nodes_[n].name);
  }
  return names;
}

}  // namespace ringout::plant
