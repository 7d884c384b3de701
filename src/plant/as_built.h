// The robot as it really is: the drawn one with its deviations applied. Who sits on which port, what is broken.
// Deviations that concern the controller alone (old firmware, another table, another program) leave no trace here.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "plant/deviations.h"
#include "plant/motor_axis.h"
#include "robot/robot.h"

namespace ringout::plant {

struct Intermittent {
  double open_share = 0.3;
  double mean_open_s = 0.04;
};

struct BuiltOutput {
  const robot::Output* drawn = nullptr;
  const robot::Device* device = nullptr;
  const robot::BoardPort* port = nullptr;
  bool leads_reversed = false;
  bool open_wire = false;
  bool dead = false;
  bool jammed = false;
  bool slipping = false;
  bool shorted = false;
  bool dead_port = false;
  double friction_factor = 1.0;  // of the mechanism
  double winding_factor = 1.0;   // of the motor's resistance
  std::optional<Intermittent> intermittent = std::nullopt;
};

struct BuiltInput {
  const robot::Input* drawn = nullptr;
  const robot::Device* device = nullptr;
  const robot::BoardPort* port = nullptr;
  bool open_wire = false;
  bool dead = false;
  bool channels_swapped = false;
  bool dead_a = false;
  bool dead_b = false;
  bool stuck = false;
  bool dead_port = false;
  std::optional<Intermittent> intermittent = std::nullopt;
};

struct AsBuilt {
  std::vector<BuiltOutput> outputs;  // in the drawn robot's order
  std::vector<BuiltInput> inputs;
  std::vector<std::size_t> open_protections;  // indices into Robot::protections
  double state_of_charge = 1.0;
  double battery_resistance_factor = 1.0;
};

// Names must have passed check_deviations; an unknown name aborts. The result points into `drawn`.
[[nodiscard]] AsBuilt as_built(const robot::Robot& drawn, const Deviations& deviations);

// The protection that feeds a port: a connector's exchange moves devices, not the feed of the port.
[[nodiscard]] const std::string& feed_of(const robot::Robot& drawn, const robot::BoardPort& port,
                                         const robot::Output& device_owner);

// A specimen of the motor with its mechanism: the catalogue's figures with the scatter of a real part, and the effects
// that a data sheet does not print (cogging, commutation ripple, viscous share of the free current, winding heat).
[[nodiscard]] AxisParameters axis_of(const BuiltOutput& built, const robot::Robot& drawn, std::uint64_t seed);

}  // namespace ringout::plant
