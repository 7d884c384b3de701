#include "find/bounds.h"

#include <map>
#include <queue>

#include "find/strategy.h"

namespace ringout::find {

namespace {

// What the observation would show of each state, where it is certain about every one.
std::optional<std::vector<Index>> sure_outcomes(const Space& space, const Situation& s, Index observation) {
  std::vector<Index> out;
  for (const Weighted& w : s.belief) {
    Index k = 0;
    while (space.likelihood(observation, k, w.state) <= 0.5) {
      if (++k == space.model().observations[observation].outcomes.size()) return std::nullopt;
    }
    if (space.likelihood(observation, k, w.state) != 1.0) return std::nullopt;
    out.push_back(k);
  }
  return out;
}

// One that waits for another may never be allowed: it shortens the way, and need not part any states.
double identify_bound(const Space& space, const Situation& s) {
  double first = 1e300;
  for (const Step step : space.options(s)) first = std::min(first, space.cost(s, step));
  double cheapest = 1e300;
  std::size_t arity = 2;
  std::vector<std::vector<Index>> shown(s.belief.size());
  for (Index o = 0; o < space.model().observations.size(); ++o) {
    if (s.observed[o] || !space.informative(s, o)) continue;
    const std::optional<std::vector<Index>> sure = sure_outcomes(space, s, o);
    if (!sure) return first;
    cheapest = std::min(cheapest, space.model().observations[o].cost);
    arity = std::max(arity, space.model().observations[o].outcomes.size());
    for (std::size_t i = 0; i < sure->size() && space.may_observe(s, o); ++i) shown[i].push_back((*sure)[i]);
  }
  std::map<std::vector<Index>, double> groups;
  for (std::size_t i = 0; i < s.belief.size(); ++i) groups[shown[i]] += s.belief[i].chance;
  std::vector<double> chances;
  for (const auto& [answers, chance] : groups) chances.push_back(chance);
  if (chances.size() < 2) return first;
  return std::max(first, cheapest * huffman_length(std::move(chances), arity));
}

}  // namespace

double huffman_length(std::vector<double> chances, std::size_t arity) {
  if (chances.size() < 2) return 0.0;
  while ((chances.size() - 1) % (arity - 1) != 0) chances.push_back(0.0);
  std::priority_queue<double, std::vector<double>, std::greater<>> smallest(chances.begin(), chances.end());
  double length = 0;
  while (smallest.size() > 1) {
    double sum = 0;
    for (std::size_t i = 0; i < arity; ++i) {
      sum += smallest.top();
      smallest.pop();
    }
    length += sum;
    smallest.push(sum);
  }
  return length;
}

double lower_bound(const Space& space, const Situation& s) {
  if (space.model().goal == Goal::identify) return space.over(s) ? 0.0 : identify_bound(space, s);
  double sum = 0;
  for (const Weighted& w : s.belief) sum += w.chance * space.known_cost(s, w.state);
  return sum;
}

double upper_bound(const Space& space, const Situation& s) {
  if (space.over(s)) return 0.0;
  if (space.model().goal == Goal::repair) return plan_repairs(space, s).cost;
  double sum = 0;
  const Model& model = space.model();
  for (Index o = 0; o < model.observations.size(); ++o) sum += s.observed[o] ? 0.0 : model.observations[o].cost;
  for (Index p = 0; p < model.places.size(); ++p)
    sum += s.open[p] ? 0.0 : model.places[p].open_cost + model.places[p].close_cost;
  return sum;
}

}  // namespace ringout::find
