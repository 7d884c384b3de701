#include "find/suspects.h"

#include <algorithm>

namespace ringout::find {

namespace {

constexpr double suspect_from = 0.02;    // what an answer may be said to rule out
constexpr double excluded_below = 0.05;  // of what it was
constexpr std::size_t likeliest_shown = 3;

std::vector<double> marginals_of(const Space& space, const Belief& belief) {
  std::vector<double> out(space.model().modes.size(), 0.0);
  for (const Weighted& w : belief) {
    for (const Index m : space.faults(w.state)) out[m] += w.chance;
  }
  return out;
}

}  // namespace

std::vector<Suspect> suspects_of(const std::vector<double>& marginals, double from, std::size_t most) {
  std::vector<Suspect> out;
  for (Index m = 0; m < marginals.size(); ++m) {
    if (marginals[m] >= from) out.push_back({m, marginals[m]});
  }
  std::stable_sort(out.begin(), out.end(), [](const Suspect& a, const Suspect& b) { return a.chance > b.chance; });
  if (out.size() > most) out.resize(most);
  return out;
}

std::vector<double> marginals_of(const std::vector<State>& states, std::size_t modes) {
  std::vector<double> out(modes, 0.0);
  for (const State& s : states) {
    for (const Index m : s.faults) out[m] += s.weight;
  }
  return out;
}

Reading reading_of(const Space& space, const Branch& branch, const std::vector<Suspect>& now) {
  Reading out{branch.outcome, std::min(branch.chance, 1.0), {}, {}};  // a sum may be past it by its rounding
  if (branch.ending != Ending::none) return out;
  const std::vector<double> after = marginals_of(space, branch.next.belief);
  out.then = suspects_of(after, shown_from, likeliest_shown);
  for (const Suspect& s : now) {
    if (s.chance >= suspect_from && after[s.mode] < excluded_below * s.chance) out.rules_out.push_back(s.mode);
  }
  return out;
}

}  // namespace ringout::find
