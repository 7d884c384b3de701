// A short circuit through a wire: what its insulation bears until the protection has opened, and what that lets
// through.
//
//   withstand, adiabatic: I²t = k²·S²,  k² = Qc·(β + 20 °C)/ρ20 · ln((β + θe)/(β + θs)),  so  t = (k·S/I)²
//
// Copper: β = 234.5 °C, Qc = 3.45 J/(K·cm³), ρ20 = 1/58 µΩ·m, which makes k = 226·√ln(…) A·√s/mm². Up to 5 s: later
// heat leaves the wire, and the law errs on the safe side.
//
//   let-through, at most: I²t of a heated element does not rise with its current (less heat is lost in less time), so
//   for any prospective current from I1 to I2
//     I²t ≤ min over tabulated mi·In ≤ I1 of (mi·In)²·latest(mi) + I2²·tm
//
// tm is a mechanism's own time, 0 for fuses. No tabulated latest time up to I1: infinite, it need not open. Fuses that
// limit the current itself let through less. Source: IEC 60364-4-43 (434.5.2) and 60364-5-54 (annex A), both from
// memory; the let-through's bound is our own, from first-order heating.
#pragma once

#include <optional>
#include <span>

#include "physics/protection.h"
#include "physics/protection_limits.h"

namespace ringout::physics {

// Temperatures of the conductor before and at the end of the short circuit.
struct ShortHeating {
  Temperature start;
  Temperature end;  // > start
};
// For insulation that bears `rated` for ever, the wire as warm as that before: 160 °C where it may be thermoplastic
// (rated up to 125 °C; 70 °C and less count as ordinary PVC at 70 °C), above that 250 °C. Nothing from 250 °C on.
[[nodiscard]] std::optional<ShortHeating> short_heating(Temperature rated);

// k²·S²; conductor > 0.
[[nodiscard]] SquaredCurrentTime short_withstand(Area conductor, const ShortHeating& heating);

// What a short circuit draws, by where it is: 0 < least ≤ most.
struct Prospective {
  Current least;
  Current most;
};
// rating: effective, > 0; mechanism ≥ 0. The table must be orderly.
[[nodiscard]] SquaredCurrentTime most_let_through(std::span<const LimitPoint> table, Current rating,
                                                  const Prospective& prospective, Time mechanism);
// A breaker's mechanism takes up to this (typical, from memory).
constexpr Time breaker_mechanism = seconds(0.1);
// Longer is no short circuit any more by the standards' practice: the wire must then be guarded as by an overload.
constexpr Time longest_short = seconds(5);

}  // namespace ringout::physics
