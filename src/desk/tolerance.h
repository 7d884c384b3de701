// How far the key figures of a case may be off, when every figure of the robot file that carries a tolerance is off.
//
// Draws: each tolerance independently and evenly over its range, by a generator seeded with `seed` (SplitMix64 into
// xoshiro256**, both public domain by D. Blackman and S. Vigna), so that a run repeats on every machine. The interval
// is what 95 % of the draws lie within. Sensitivity: Spearman's rank correlation of a figure with each tolerance, whose
// even draws stand for their own ranks; its square over the sum of squares as the share. Corners: where a figure,
// looked at with one tolerance at a time, only rises or only falls with each, it is solved with all of them at the ends
// that lower and that raise it; kept only where no draw lies beyond.
#pragma once

#include "desk/load_cases.h"

namespace ringout::desk {

// Nothing where no tolerance is stated or no draw is wanted. `of_case` is left to the caller.
[[nodiscard]] std::optional<Spread> spread_of(const robot::Robot& robot, const Layout& layout,
                                              const PlannedCase& planned, const DeskOptions& options);

// Spearman's rank correlation, ties at their mean rank; 0 where either does not vary. Same length.
[[nodiscard]] double rank_correlation(const std::vector<double>& a, const std::vector<double>& b);

}  // namespace ringout::desk
