// A motor's heat in two bodies, winding and housing, with the copper's loss growing as it warms.
//
//   Cw·dTw/dt = I²·R(Tw) − (Tw − Th)/R1            R(T) = R0·(T − z)/(T0 − z), z = −234.5 °C
//   Ch·dTh/dt = P + (Tw − Th)/R1 − (Th − Ta)/R2    P: iron and friction loss, into the housing
//
// Linear in Tw and Th while I, P and Ta hold, so each step is exact (matrix exponential of two real eigenvalues), and
// so are the steady state and the cycle that repeats:
//   Tw(∞) = (Ta + R2·P + (R1 + R2)·I²·R0·(1 − α·T0)) / (1 − α·(R1 + R2)·I²·R0), with α = 1/(T0 − z) and T in °C
// Where I²·R0·α·(R1 + R2) ≥ 1 there is none: the winding runs away. I is the root of the mean square over the chopping
// period. Holds for a mounted motor in still air as its sheet states R2; makers halve R2 on a metal plate. A maker's
// time constants are τ = R·C of each body, his τ of the housing often with the winding's mass in it: a few per cent.
// Source: Portescap catalogue V012024 p. 225 (steady form, read); thermal networks in any text on machines.
#pragma once

#include <optional>
#include <span>

#include "physics/heat_units.h"

namespace ringout::physics {

struct MotorBodies {
  ThermalResistance winding_to_housing;  // R1 > 0
  ThermalResistance housing_to_ambient;  // R2 > 0
  HeatCapacity winding;                  // > 0
  HeatCapacity housing;                  // > 0
  Resistance resistance;                 // R0 ≥ 0, at `at`
  Temperature at = celsius(25);
};
// C = τ/R of each body.
[[nodiscard]] HeatCapacity heat_capacity(Time constant, ThermalResistance to_outside);

struct HeatLoad {
  Current current;   // rms
  Power to_housing;  // ≥ 0
};

struct BodyTemperatures {
  Temperature winding;
  Temperature housing;
};
[[nodiscard]] constexpr BodyTemperatures all_at(Temperature t) {
  return {t, t};
}

// Exact, for dt ≥ 0.
[[nodiscard]] BodyTemperatures heated(const MotorBodies& m, BodyTemperatures from, HeatLoad load, Temperature ambient,
                                      Time dt);
// Nothing: it runs away.
[[nodiscard]] std::optional<BodyTemperatures> settled(const MotorBodies& m, HeatLoad load, Temperature ambient);
// The largest current that keeps the settled winding at or below `limit`; 0 where the housing loss alone exceeds it.
[[nodiscard]] Current continuous_current(const MotorBodies& m, Power to_housing, Temperature ambient,
                                         Temperature limit);

// The first moment when the winding is at `limit`: 0 if it is there or above, infinite if never. Cold: from
// all_at(ambient); warm: from any state.
[[nodiscard]] Time time_to(const MotorBodies& m, BodyTemperatures from, HeatLoad load, Temperature ambient,
                           Temperature limit);

struct HeatStep {
  HeatLoad load;
  Time duration;  // > 0
};

struct CycleHeat {
  BodyTemperatures start;  // at the cycle's start; in the settled cycle also at its end
  BodyTemperatures end;
  Temperature hottest;  // of the winding within the cycle
};
// One cycle from this state, the peak within the steps found exactly.
[[nodiscard]] CycleHeat run_cycle(const MotorBodies& m, BodyTemperatures from, std::span<const HeatStep> cycle,
                                  Temperature ambient);
// The n-th of `cycles` ≥ 1 repetitions from this state.
[[nodiscard]] CycleHeat run_cycles(const MotorBodies& m, BodyTemperatures from, std::span<const HeatStep> cycle,
                                   Temperature ambient, int cycles);
// The cycle that repeats itself, solved and not waited for; nothing: it runs away.
[[nodiscard]] std::optional<CycleHeat> settled_cycle(const MotorBodies& m, std::span<const HeatStep> cycle,
                                                     Temperature ambient);

// The first moment when the winding is at `limit`, repeating the cycle from this state; infinite if never.
[[nodiscard]] Time time_to(const MotorBodies& m, BodyTemperatures from, std::span<const HeatStep> cycle,
                           Temperature ambient, Temperature limit);

// The largest share of `period` that `on` may take, `off` the rest, with the settled cycle's hottest winding at or
// below `limit`: 0 … 1, to 1e-9; 0 also where `off` alone is too much.
[[nodiscard]] double allowed_duty(const MotorBodies& m, HeatLoad on, HeatLoad off, Time period, Temperature ambient,
                                  Temperature limit);

// The largest share of the time that this cycle may take when each is followed by a rest under `rest`, so that the
// settled hottest winding is at or below `limit`; 0 where even a cycle from all_at(settled rest) is too much.
[[nodiscard]] double allowed_share(const MotorBodies& m, std::span<const HeatStep> cycle, HeatLoad rest,
                                   Temperature ambient, Temperature limit);

}  // namespace ringout::physics
