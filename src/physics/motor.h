// The brushed permanent-magnet motor in steady state, and its constants from a data-sheet row.
//
//   U = R·I + k·ω      M = k·(I − I0)      with one k in N·m/A = V·s/rad
//
// Holds for direct (or averaged) current at one winding temperature, magnets unsaturated, friction torque k·I0 taken as
// constant. Positive current gives positive torque; load torque positive when it opposes positive motion. Source: any
// text on drives, e.g. G. K. Dubey, Fundamentals of Electrical Drives (from memory); makers' catalogues give the same.
#pragma once

#include <optional>

#include "base/result.h"
#include "physics/heat_units.h"
#include "units/quantity.h"

namespace ringout::physics {

using InverseSlope = Quantity<-1, -2, 1, 0, 0, 2>;   // speed per torque, rad/s per N·m/rad
using SpeedConstant = Quantity<-1, -2, 2, 1, 0, 1>;  // rad/s per V, the inverse of k
using AngularAcceleration = Quantity<0, 0, -2, 0, 0, 1>;

// Makers print one of two things as "stall torque": k·Is, or what is left at the shaft, k·(Is − I0).
enum class StallTorque { gross, net_of_friction };

// A row as printed, at `nominal` and the row's winding temperature (usually 20 to 25 °C).
struct MotorRow {
  Voltage nominal;          // > 0
  AngularSpeed free_speed;  // > 0
  Current free_current;     // 0 ≤ I0 < stall_current
  Torque stall_torque;      // > 0
  Current stall_current;    // > 0
  StallTorque convention = StallTorque::gross;
};

struct MotorConstants {
  Resistance winding;
  MotorConstant k;       // used in both directions of energy
  Current free_current;  // I0: friction torque k·I0
};

// R = U/Is. The row fixes k twice: kT = Ms/Is (gross) or Ms/(Is − I0) (net), kE = (U − I0·R)/ω0. A real motor has one
// k; sheets disagree by rounding, temperature or error. k is their geometric mean, so that neither torque nor speed
// takes the whole difference; `disagreement` is |kT/kE − 1|, and above 0.1 the row deserves a doubt.
struct MotorFromRow {
  MotorConstants constants;
  MotorConstant from_torque;
  MotorConstant from_speed;
  double disagreement = 0.0;
};

// Error: bad_input "physics.motor-row" when a figure is outside its range above.
[[nodiscard]] Result<MotorFromRow> motor_from_row(const MotorRow& row);

// The other kind of row: resistance between the terminals and one of the two constants, or both.
struct TerminalRow {
  Resistance terminal;                           // > 0, at the row's winding temperature
  std::optional<MotorConstant> torque_constant;  // > 0; at least one of the two
  std::optional<SpeedConstant> speed_constant;   // > 0; makers print rpm/V: 60/(2π·kn) = kE
  Current free_current;                          // ≥ 0
};

// R as printed. With both constants k is the geometric mean of kT and kE = 1/kn and `disagreement` is |kT/kE − 1|, as
// above; with one, both `from_…` are that one and the disagreement is 0: nothing there to contradict it.
// Error: bad_input "physics.motor-row" when a figure is outside its range, or neither constant is given.
[[nodiscard]] Result<MotorFromRow> motor_from_row(const TerminalRow& row);

// R(t) = R(t0)·(234.5 + t)/(234.5 + t0), t in °C: copper, −50 … 200 °C (heat_units.h).
[[nodiscard]] Resistance winding_at(Resistance r, Temperature from, Temperature to);

// What a magnet loses per kelvin, reversible, about 0 … 100 °C: typical of the material, from memory (magnet makers'
// tables agree within a fifth); the motor's own sheet rules where it has a figure.
constexpr PerKelvin ferrite_magnets = per_kelvin(-0.002);
constexpr PerKelvin neodymium_magnets = per_kelvin(-0.001);

struct MotorTemperatures {
  Temperature winding = celsius(25);
  Temperature magnets = celsius(25);
};

// R by winding_at; k·(1 + c·ΔT) with c the magnets' coefficient; the friction torque k·I0 stays, so I0 rises as k
// falls. The factor of k must stay positive: a coefficient or temperature beyond that aborts (ranges are checked when
// read).
[[nodiscard]] MotorConstants at_temperature(const MotorConstants& m, MotorTemperatures row, MotorTemperatures now,
                                            PerKelvin magnets);

// Is = U/R.
[[nodiscard]] Current stall_current(const MotorConstants& m, Voltage u);
// k·U/R, or k·(U/R − I0).
[[nodiscard]] Torque stall_torque(const MotorConstants& m, Voltage u, StallTorque convention);
// ω0 = (U − I0·R)/k.
[[nodiscard]] AngularSpeed free_speed(const MotorConstants& m, Voltage u);
// −dω/dM = R/k².
[[nodiscard]] InverseSlope speed_torque_slope(const MotorConstants& m);
// η_max = (1 − √(I0·R/U))²; I0·R ≤ U.
[[nodiscard]] double maximum_efficiency(const MotorConstants& m, Voltage u);
// τm = R·J/k², inductance neglected.
[[nodiscard]] Time mechanical_time_constant(const MotorConstants& m, Inertia j);
// From rest with the full stall torque: α = M/J.
[[nodiscard]] AngularAcceleration starting_acceleration(const MotorConstants& m, Voltage u, Inertia j,
                                                        StallTorque convention);

struct OperatingPoint {
  Current current;
  AngularSpeed speed;
  Power electrical;  // U·I
  Power mechanical;  // M·ω
};

// I = M/k + I0, ω = (U − R·I)/k for a motor that turns in the positive direction; ω < 0 means that the load overhauls
// the motor, where I0 has the wrong sign: the caller must not trust it below zero.
[[nodiscard]] OperatingPoint operating_point(const MotorConstants& m, Voltage u, Torque load);
// The supply that gives `speed` > 0 against `load`: U = R·(M/k + I0) + k·ω.
[[nodiscard]] Voltage supply_for(const MotorConstants& m, AngularSpeed speed, Torque load);
// U − R·I.
[[nodiscard]] Voltage back_emf(const MotorConstants& m, Voltage u, Current i);

}  // namespace ringout::physics
