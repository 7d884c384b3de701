// A protection under a changing current: two heated elements, one faster and one slower than any specimen whose limits
// are published, and the interval between their moments of opening.
//
//   dx/dt = ((I/Ib)² − x)/τ, opens at x = 1; from cold, constant I:  t = −τ·ln(1 − (Ib/I)²)
//   fast: Ib the largest multiple that is carried for ever, τ the largest with t(m) ≤ earliest(m) at every point, and
//   no
//         larger than that of any element within the table
//   slow: t(m) ≥ latest(m) at every point; of those the (Ib, τ) whose worst ratio t(m)/latest(m) is least, Ib at most
//         0.999 of the first multiple with a latest time, Ib and τ not below the fast one's
//
// Both enclose the table by construction (points of 100 h and more count as carried for ever). An element of larger τ
// is the smaller one's output averaged over its past, so under any profile from cold the slow one opens no earlier.
// Where the table itself says more, it is used: nothing opens before the table's earliest for the largest current of
// the profile, and what stays at or above a tabulated multiple for its latest time has opened. Assumes heating of first
// order; a fuse has more than one time constant, so treat a narrow margin as none.
#pragma once

#include <span>

#include "physics/protection_limits.h"

namespace ringout::physics {

struct HeatedElement {
  double boundary = 1.0;  // Ib over the rating
  Time constant;          // 0: follows the current at once
};

struct BoundingElements {
  HeatedElement fast;
  HeatedElement slow;
  bool slow_opens = true;  // false: no latest time is known at all, it may hold for ever
};
// The table must be orderly (is_orderly).
[[nodiscard]] BoundingElements bounding_elements(std::span<const LimitPoint> table);
// Time to open from cold at constant multiple of the rating; infinite at or below the boundary.
[[nodiscard]] Time time_to_open(const HeatedElement& element, double multiple);

struct CurrentStep {
  Current current;
  Time duration;  // > 0
};

// A cycle of steps repeated for ever, from cold: when does it open? `rating` is the effective one (ambient included).
// [∞, ∞]: holds.
[[nodiscard]] OpeningInterval time_to_open(std::span<const LimitPoint> table, Current rating,
                                           std::span<const CurrentStep> cycle);
// The same with the table's own elements, which do not depend on rating or cycle, worked out before.
[[nodiscard]] OpeningInterval time_to_open(std::span<const LimitPoint> table, const BoundingElements& elements,
                                           Current rating, std::span<const CurrentStep> cycle);

// Thermal state of both elements as shares of opening. From cold the greatest so far is never less for the fast one.
struct ThermalShare {
  double fast = 0.0;
  double slow = 0.0;
};
// The cycle repeated for ever, settled: the greatest share of opening within it, of either element; 1 and above opens.
[[nodiscard]] ThermalShare settled_peak(const BoundingElements& elements, Current rating,
                                        std::span<const CurrentStep> cycle);

}  // namespace ringout::physics
