// For the published fault-finding cases: a strategy that follows a written sequence.
#pragma once

#include <utility>
#include <vector>

#include "find/optimum.h"
#include "find/policy.h"
#include "find/testing.h"

namespace ringout::find::testing {

// Takes the steps in the given order, each where it is still an option.
class InOrder final : public Strategy {
 public:
  explicit InOrder(std::vector<Step> steps) : steps_(std::move(steps)) {}

  Step choose(const Space& space, const Situation& s) override {
    const std::vector<Step> options = space.options(s);
    for (const Step step : steps_) {
      if (std::find(options.begin(), options.end(), step) != options.end()) return step;
    }
    return {Step::Kind::call, 0};
  }

 private:
  std::vector<Step> steps_;
};

// Repairs by their numbers in the literature (from 1 on).
inline double cost_of_repairs(const Case& c, const std::vector<Index>& order) {
  std::vector<Step> steps;
  for (const Index number : order) steps.push_back({Step::Kind::repair, number - 1});
  InOrder strategy(steps);
  return expected_cost(c.space, strategy).cost;
}

inline double cost_of(const Case& c, StrategyKind kind, const Effort& effort = {}) {
  const std::unique_ptr<Strategy> strategy = make_strategy(kind, effort);
  return expected_cost(c.space, *strategy).cost;
}

inline OptimumSearch::Bounds optimum_of(const Case& c, std::size_t nodes = 200'000) {
  OptimumSearch search(c.space, {});
  return search.solve(c.space.start(), nodes);
}

}  // namespace ringout::find::testing
