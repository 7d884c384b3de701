// The prior over states of up to max_faults faults at once; tail_bound.h bounds what more of them would weigh.
#pragma once

#include <vector>

#include "find/model.h"

namespace ringout::find {

struct State {
  FaultSet faults;
  double weight = 0.0;  // probability, or log weight where said so
};

// How many states the model's prior lists, 0 … max_faults at once (the empty one included where it can be).
[[nodiscard]] double count_states(const Model& model);

// All of them with their prior weight (not normalised: independent faults keep their probability). For a repair the
// empty state is left out. Only for models with count_states() <= max_states.
[[nodiscard]] std::vector<State> enumerate_states(const Model& model);

}  // namespace ringout::find
