#include "find/bounds.h"

#include <map>
#include <queue>

#include "find/strategy.h"

namespace ringout::find {

namespace {

double identify_bound(const Space& space, const Situation& s) {
  const std::vector<Step> options = space.options(s);
  if (options.empty()) return 0.0;
  const Model& model = space.model();
  double cheapest = 1e300;
  std::size_t arity = 2;
  bool exact = true;
  std::map<Index, std::vector<Index>> shown;  // state -> what each observation would show
  for (Index o = 0; o < model.observations.size(); ++o) {
    if (s.observed[o] || !space.informative(s, o)) continue;
    cheapest = std::min(cheapest, model.observations[o].cost);
    arity = std::max(arity, model.observations[o].outcomes.size());
    for (const Weighted& w : s.belief) {
      Index sure = 0;
      for (Index k = 0; k < model.observations[o].outcomes.size(); ++k) {
        if (space.likelihood(o, k, w.state) > 0.5) sure = k;
      }
      exact = exact && space.likelihood(o, sure, w.state) == 1.0;
      shown[w.state].push_back(sure);
    }
  }
  if (!exact) return cheapest;
  std::map<std::vector<Index>, double> groups;
  for (const Weighted& w : s.belief) groups[shown[w.state]] += w.chance;
  std::vector<double> chances;
  for (const auto& [answers, chance] : groups) chances.push_back(chance);
  return cheapest * huffman_length(std::move(chances), arity);
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
