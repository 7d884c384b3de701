// How far every figure of the report may be off, without drawing each of them anew.
//
// Each figure is taken as its nominal value and the sum of what each tolerance does to it alone (term_sum.h): each
// tolerance is moved to both its ends, and whatever it can move is worked out anew, in full. The sum is then drawn as
// the worst case is (tolerance.h): every tolerance independently and evenly, the same seed, 95 % of the draws. The
// share of a driver is the variance of its own term over that of all. Left out is what two tolerances do together
// beyond the sum of what each does; a test holds the result against full draws. Times that may be infinite are taken as
// their reciprocals; a trip time is that of the ends of its current's interval, for it never rises with it.
#pragma once

#include "desk/load_cases.h"

namespace ringout::desk {

// Fills `ranges` and `idle_tolerances` of a report that is complete but for its findings. Nothing where no tolerance is
// stated or no draw is wanted. What a tolerance can move at all is known by its path: see reach.h.
void add_ranges(const robot::Robot& robot, const std::vector<PlannedCase>& planned, const DeskOptions& options,
                DeskReport& report);

}  // namespace ringout::desk
