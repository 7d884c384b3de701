// The prior over states, and how much of it is left out by considering only so many faults at once.
//
// For independent parts with q_c = sum of the priors of part c, the number of faulty parts is Poisson-binomial;
// P(more than k) is summed from positive terms alone, so that a tiny tail keeps its precision.
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

// Sum over all sets S of more than `most` faults of prior(S) · product of factor(mode) over S; with factors of 1 that
// is P(more than `most` parts are faulty). 0 for models without independent faults.
[[nodiscard]] double tail_above(const Model& model, int most, const std::vector<double>& factor);

}  // namespace ringout::find
