// Battery, protections and the wires between them, solved once a step as a tree of averaged currents.
//
// Each load says how its current follows its node's voltage (Draw). Currents are gathered from the leaves to the
// battery, voltages handed back: exact for a tree, no iteration. Every node has a little capacitance, so that a node
// whose protection is open has a voltage too; below −1 V and above 36 V diodes take the current.
//   battery:  E(charge) − u1 − R·I,  C1·du1/dt = I − u1/R1 (recovery after load), R rising toward empty
//   protections: physics/protection.h; a resettable one goes to 60 Ω, stays hot while it takes 0.3 W, and cools.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "physics/protection.h"
#include "plant/motor_axis.h"
#include "robot/robot.h"

namespace ringout::plant {

struct SupplyLedger {
  double in = 0.0;      // J, from the battery's source
  double lost = 0.0;    // J
  double stored = 0.0;  // J, in capacitances, relative to the start
};

class Supply {
 public:
  // Node 0 is the battery after its disconnect; node n + 1 hangs on protection n of the robot.
  Supply(const robot::Robot& drawn, double state_of_charge, double resistance_factor);

  [[nodiscard]] std::size_t board_node() const { return board_node_; }
  // The node that a protection of this name feeds; the battery's where there is none.
  [[nodiscard]] std::size_t node_of(const std::string& protection) const;
  [[nodiscard]] double voltage(std::size_t node) const { return nodes_[node].voltage; }

  // One step: begin, add every load, solve, then settle each load's true charge, and finish.
  void begin(double dt);
  void add(std::size_t node, Draw draw);
  void solve();
  // What a load really took beyond its plan (C); the node's capacitance carries it over to the next step.
  void settle(std::size_t node, double charge_beyond_plan) { nodes_[node].carried += charge_beyond_plan; }
  void finish();

  void open_disconnect(bool open) { disconnected_ = open; }
  // Closes what this protection's own trip has opened; it keeps its heat.
  void reset(std::size_t node) { nodes_[node].tripped = false; }
  // From long before the start: nothing is stored behind it.
  void open_for_ever(std::size_t node);

  [[nodiscard]] double battery_volts() const { return nodes_[0].voltage; }
  [[nodiscard]] double battery_amperes() const { return battery_current_; }
  [[nodiscard]] SupplyLedger ledger() const;
  [[nodiscard]] std::vector<std::string> tripped() const;

 private:
  struct Node {
    std::string name;
    std::size_t parent = 0;
    double edge = 0.0;         // resistance from the parent
    double capacitance = 0.0;  // to ground
    double conductance = 0.0;  // idle loads and leaks
    double voltage = 0.0;
    double voltage_before = 0.0;
    double carried = 0.0;  // C
    double fixed = 0.0, per_volt = 0.0, current = 0.0;
    bool open_wire = false;
    bool tripped = false;
    bool self_resets = false;
    physics::ProtectionCurve curve{};
    double heat_rate = 0.0;  // 1/(Ib²·τ)
    double inverse_constant = 0.0;
    double heat = 0.0;
    [[nodiscard]] bool open() const { return open_wire || (tripped && !self_resets); }
    [[nodiscard]] double resistance() const;
  };

  void protect(Node& node);
  void clamp(Node& node);
  [[nodiscard]] double capacitor_energy() const;

  std::vector<Node> nodes_;
  std::vector<std::size_t> order_;  // parents before children
  std::size_t board_node_ = 0;
  bool disconnected_ = false;
  double dt_ = 0.0;
  double charge_, capacity_, full_volts_, empty_volts_, internal_;
  double recovery_volts_ = 0.0, recovery_resistance_, recovery_decay_dt_ = 0.0, recovery_decay_ = 1.0;
  double source_volts_ = 0.0, source_resistance_ = 0.0, battery_current_ = 0.0;
  double in_ = 0.0, lost_ = 0.0, stored_at_start_ = 0.0;
};

}  // namespace ringout::plant
