// A battery emptied by a duty cycle: how long until a cutoff voltage, and what is left.
//
//   each step's load: I = fixed + U/r + P/U, with U = E(q) − r(q, t)·I      dq/dt = −counted_current(I)/C
//
// Steps of at most 1/500 of the charge, midpoint rule, the moment of cutoff found by halving. Stops at the cutoff, at
// an empty battery, where the source cannot give the power asked for, or after `most_cycles`. A cycle that takes
// nothing, or charges, runs to `most_cycles`. Assumes one temperature, and no self-discharge.
// Source: charge counting with Peukert's rate as in battery.h.
#pragma once

#include <optional>
#include <span>

#include "physics/battery.h"

namespace ringout::physics {

using Conductance = Quantity<-1, -2, 3, 2, 0, 0>;

struct BatteryState {
  PeukertRating rating;
  std::span<const ChargePoint> open_circuit;  // of the whole battery
  Resistance internal;                        // r0 ≥ 0
  std::span<const FactorAtCharge> by_charge;
  double temperature_factor = 1.0;  // ft of the moment
  double state_of_charge = 1.0;     // 0 … 1
};

struct DischargeStep {
  Current fixed;
  Conductance per_volt;
  Power power;
  Time duration;  // > 0
};

// Current and terminal voltage under this load; nothing where U would not be positive or the power is out of reach.
struct LoadedBattery {
  Current current;
  Voltage terminals;
};
[[nodiscard]] std::optional<LoadedBattery> loaded(const BatteryState& battery, const DischargeStep& load);

enum class Ended { cutoff, empty, overloaded, cycles_done };

struct Discharge {
  Ended ended = Ended::cycles_done;
  Time run_time;
  double cycles = 0.0;  // whole ones and the share of the last
  Charge charge;        // out of the terminals, not counted by Peukert
  Energy energy;        // out of the terminals
  double state_of_charge = 0.0;
  Voltage open_at_end;
  Voltage loaded_at_end;  // under the step in which it ended; overloaded at once: under the one before
  Voltage lowest;         // of all loaded voltages
};
[[nodiscard]] Discharge discharge(const BatteryState& battery, std::span<const DischargeStep> cycle, Voltage cutoff,
                                  int most_cycles);

}  // namespace ringout::physics
