// Fuse, breaker and resettable fuse as one heated element with one time constant:
//
//   dx/dt = ((I/Ib)² − x)/τ,  opens at x ≥ 1;  from cold, constant I > Ib:  t = −τ·ln(1 − (Ib/I)²)
//
// x is the element's temperature rise over the rise at which it opens; Ib, the boundary current, is what it carries for
// ever. For I ≫ Ib, t → τ·Ib²/I²: the melting I²t of a fuse is τ·Ib². Holds at room temperature, in still air, for one
// typical specimen: makers state only limits, a factor of ten apart and more, so nothing may be sized by it to a
// few per cent. Source: first-order heating, any text on overload protection (from memory).
#pragma once

#include "units/quantity.h"

namespace ringout::physics {

using SquaredCurrentTime = Quantity<0, 0, 1, 2, 0, 0>;  // A²·s

constexpr SquaredCurrentTime ampere_squared_seconds(double v) {
  return {v};
}

struct ProtectionCurve {
  Current boundary;
  Time constant;
};

// A blade fuse carries 110 % of its rating for ever and opens at 135 %: boundary 1.2 · rating; τ = (I²t)/Ib².
// Without a melting I²t, 1 s · rating².
[[nodiscard]] ProtectionCurve fuse_curve(Current rating, SquaredCurrentTime melting);
// A thermal breaker: boundary 1.15 · rating, τ = 40 s (opens after about 16 s at 200 %; typical, from memory).
[[nodiscard]] ProtectionCurve breaker_curve(Current rating);
// A polymer resettable fuse: boundary √(hold · trip), τ = 55 s (typical of radial parts of 1 to 4 A hold).
[[nodiscard]] ProtectionCurve resettable_curve(Current hold, Current trip);

// x after `dt` of constant current (exact).
[[nodiscard]] double heated(const ProtectionCurve& curve, double x, Current i, Time dt);
// Time to open from cold; infinite at or below the boundary.
[[nodiscard]] Time time_to_open(const ProtectionCurve& curve, Current i);

}  // namespace ringout::physics
