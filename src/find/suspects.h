// What a person reads of a belief: suspects with their chances, and what a reading would do to them.
#pragma once

#include <vector>

#include "find/interview.h"

namespace ringout::find {

constexpr double shown_from = 0.001;

// Of chances by mode: those of at least `from`, likeliest first, at most `most`.
[[nodiscard]] std::vector<Suspect> suspects_of(const std::vector<double>& marginals, double from, std::size_t most);
[[nodiscard]] std::vector<double> marginals_of(const std::vector<State>& states, std::size_t modes);
// `now`: the suspects before the step of which `branch` may come.
[[nodiscard]] Reading reading_of(const Space& space, const Branch& branch, const std::vector<Suspect>& now);

}  // namespace ringout::find
