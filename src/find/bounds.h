// What a situation still costs at the very least and at the most.
//
// Repair, lower: sum over states of P(S) · max over faults of S of the cheapest repair (with opening) or call that ends
//   it: perfect information could do no better.
// Identify, lower: each observation splits in at most m outcomes, so that a tree over groups of states that the
//   observations now allowed cannot tell apart needs on average at least the length of an m-ary Huffman code of their
//   chances; times the cheapest observation. (Pattipati and Alexandridis 1990, abstract read; the bound from memory.)
//   Only where all observations left are certain about every state; otherwise, and at the least, the cheapest step.
// Upper: plan_repairs, or everything that is left to observe.
#pragma once

#include <vector>

#include "find/space.h"

namespace ringout::find {

[[nodiscard]] double lower_bound(const Space& space, const Situation& s);
[[nodiscard]] double upper_bound(const Space& space, const Situation& s);

// Average length of an optimal `arity`-ary code for these chances (they sum to 1).
[[nodiscard]] double huffman_length(std::vector<double> chances, std::size_t arity);

}  // namespace ringout::find
