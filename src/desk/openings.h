// What may open, over all load cases and each motor held still alone, soonest first.
#pragma once

#include <cstddef>
#include <vector>

#include "desk/desk.h"

namespace ringout::desk {

struct Opening {
  const CaseReport* load_case = nullptr;  // null: one motor held still alone
  const BranchStall* stall = nullptr;     // null: a load case
  std::size_t protection = 0;             // of Robot::protections
  double multiple = 0.0;                  // current / rating (derated)
  TripInterval trip = {};                 // by the figures as they stand
  TripInterval within = {};               // over the whole of its current's interval
};

// Ordered as first_to_open: the least latest by the figures as they stand, then the least earliest; where none surely
// opens, the least earliest within the tolerances; of those alike, the one that is loaded most for its rating. The
// report must outlive them.
[[nodiscard]] std::vector<Opening> openings(const DeskReport& report);

// Whether the case can last: no output is held still in it.
[[nodiscard]] bool lasts(const CaseReport& c);

}  // namespace ringout::desk
