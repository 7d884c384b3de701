#include "find/explain.h"

#include <algorithm>
#include <cmath>

#include "find/bounds.h"
#include "find/optimum.h"

namespace ringout::find {

namespace {

constexpr std::size_t shown_states = 5;
constexpr std::size_t many_states = 96;

Prospect prospect(const Space& space, Step step, const Branch& b) {
  Prospect out;
  out.chance = b.chance;
  out.ends = b.ending != Ending::none;
  out.outcome = step.kind == Step::Kind::observe ? space.model().observations[step.index].outcomes[b.outcome]
                : step.kind == Step::Kind::call  ? "help comes"
                : b.outcome == 0                 ? "solved"
                                                 : "still wrong";
  if (out.ends) return out;
  Belief belief = b.next.belief;
  out.suspects = belief.size();
  std::stable_sort(belief.begin(), belief.end(),
                   [](const Weighted& x, const Weighted& y) { return x.chance > y.chance; });
  for (std::size_t i = 0; i < std::min(shown_states, belief.size()); ++i)
    out.remains.push_back({space.faults(belief[i].state), belief[i].chance});
  return out;
}

Alternative alternative(const Space& space, const Situation& s, Step step, std::optional<double> searched) {
  Alternative out;
  out.step = step;
  out.cost = space.cost(s, step);
  if (searched) out.priced = Alternative::Priced::searched;
  double expected = out.cost;
  for (const Branch& b : space.branches(s, step)) {
    out.prospects.push_back(prospect(space, step, b));
    if (b.ending == Ending::none && !searched && !space.over(b.next)) expected += b.chance * estimate(space, b.next);
  }
  out.expected = searched.value_or(expected);
  return out;
}

// An estimate may promise less than what is proved; and where nothing leads to the end there is no time to it.
void trim_expectations(Recommendation& r, const Space& space, const Situation& s) {
  const bool ends = space.has_way_to_end(s);
  for (Alternative& a : r.alternatives)
    a.expected = ends ? std::optional(std::max(*a.expected, *r.lower)) : std::nullopt;
  if (!ends) r.lower.reset();
}

double log_odds(double p) {
  const double most = 1 - 1e-15;
  const double inside = std::clamp(p, 1e-15, most);
  return std::log(inside) - std::log1p(-inside);
}

}  // namespace

Recommendation recommend(const Space& space, const Situation& s, Strategy& strategy, const Effort& effort,
                         std::size_t most) {
  Recommendation out;
  out.step = strategy.choose(space, s);
  std::vector<std::pair<Step, std::optional<double>>> steps;
  out.lower = lower_bound(space, s);
  if (s.belief.size() <= many_states) {
    OptimumSearch search(space, effort);
    out.lower = search.solve(s, effort.nodes).lower;
    for (const OptimumSearch::Quoted& q : search.quote(s)) steps.emplace_back(q.step, q.bounds.upper);
  } else {
    for (const Step step : short_list(space, s)) steps.emplace_back(step, std::nullopt);
  }
  const auto same = [&](const auto& entry) { return entry.first == out.step; };
  if (std::none_of(steps.begin(), steps.end(), same)) steps.emplace_back(out.step, std::nullopt);
  for (const auto& [step, expected] : steps) out.alternatives.push_back(alternative(space, s, step, expected));
  std::stable_sort(out.alternatives.begin(), out.alternatives.end(), [&](const Alternative& a, const Alternative& b) {
    if ((a.step == out.step) != (b.step == out.step)) return a.step == out.step;
    return a.expected < b.expected;
  });
  if (out.alternatives.size() > most) out.alternatives.resize(most);
  trim_expectations(out, space, s);
  return out;
}

Conclusion weigh(const Likelihood& likelihood, const std::vector<Event>& events, Index mode) {
  Posterior p(likelihood);
  Conclusion out;
  out.prior = out.now = p.marginals()[mode];
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (p.take(events[i]) == Taken::impossible) continue;
    const double after = p.marginals()[mode];
    const double weight = std::clamp(log_odds(after) - log_odds(out.now), -34.0, 34.0);
    out.now = after;
    if (weight > 1e-9) out.for_it.push_back({i, weight});
    if (weight < -1e-9) out.against_it.push_back({i, weight});
  }
  const auto heavier = [](const Evidence& a, const Evidence& b) { return std::abs(a.weight) > std::abs(b.weight); };
  std::stable_sort(out.for_it.begin(), out.for_it.end(), heavier);
  std::stable_sort(out.against_it.begin(), out.against_it.end(), heavier);
  return out;
}

}  // namespace ringout::find
