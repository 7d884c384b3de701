// Why this step, and why this conclusion.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "find/strategy.h"

namespace ringout::find {

struct Prospect {
  std::string outcome;
  double chance = 0.0;
  bool ends = false;           // solved, or help called
  std::vector<State> remains;  // what it would leave, likeliest first, at most five
  std::size_t suspects = 0;    // states still possible
};

struct Alternative {
  Step step;
  double cost = 0.0;  // of the step now
  // Of the whole case from here when this step is taken; empty where no way to the end is left (Space::has_way_to_end).
  std::optional<double> expected;
  enum class Priced {
    searched,        // the optimum's upper bound: a strategy that costs so much is at hand
    one_step_ahead,  // its cost, and an estimate of what it leaves
  } priced = Priced::one_step_ahead;
  std::vector<Prospect> prospects;
};

struct Recommendation {
  Step step;                              // the strategy's choice
  std::vector<Alternative> alternatives;  // the choice first, then the others, cheapest expectation first
  std::optional<double> lower;            // no strategy can expect to do better from here; empty where expected is
};

// Of a situation that is not over. `most` alternatives are kept.
[[nodiscard]] Recommendation recommend(const Space& space, const Situation& s, Strategy& strategy,
                                       const Effort& effort = {}, std::size_t most = 6);

// One event's say about a mode: ln of P(event | present, earlier events) / P(event | absent, earlier events).
// Above zero speaks for it. The weights add up to the change of the log odds. Limited to ±34 (odds of 1e15).
struct Evidence {
  std::size_t event = 0;
  double weight = 0.0;
};

struct Conclusion {
  double prior = 0.0;  // P(mode) with the model's symptoms alone
  double now = 0.0;
  std::vector<Evidence> for_it;      // heaviest first
  std::vector<Evidence> against_it;  // heaviest first
};

// Impossible events are passed over (see conflict.h).
[[nodiscard]] Conclusion weigh(const Likelihood& likelihood, const std::vector<Event>& events, Index mode);

}  // namespace ringout::find
