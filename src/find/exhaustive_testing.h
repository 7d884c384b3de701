// For tests: the optimum by trying everything, written apart from the engine's search: no memory, no bounds, no sharing
// of situations, states as bit masks, and even useless steps are tried.
#pragma once

#include "find/model.h"

namespace ringout::find::testing {

// Least expected cost of a case with independent or exactly-one faults, at most two at once, no joint effects; goal
// repair, with a call for help.
double exhaustive_optimum(const Model& model);

}  // namespace ringout::find::testing
