// Strategies that look no step ahead.
#include "find/strategy.h"

namespace ringout::find {

namespace {

Step least(const Space& space, const Situation& s, const std::function<double(Step)>& measure) {
  std::optional<Step> best;
  double best_value = 0;
  for (const Step step : space.options(s)) {
    const double value = measure(step);
    if (!best || value < best_value) best = step, best_value = value;
  }
  return best.value_or(Step{});
}

class CheapestFirst final : public Strategy {
 public:
  Step choose(const Space& space, const Situation& s) override {
    return least(space, s, [&](Step step) { return step.kind == Step::Kind::call ? 1e200 : space.cost(s, step); });
  }
};

Step most_told(const Space& space, const Situation& s) {
  double most = 0;
  const Step best = least(space, s, [&](Step step) {
    const double gain = expected_gain(space, s, step);
    most = std::max(most, gain);
    return -gain / std::max(space.cost(s, step), 1e-9);
  });
  if (most > 1e-12 || space.model().goal == Goal::identify) return best;
  return plan_repairs(space, s).first;
}

class Information final : public Strategy {
 public:
  Step choose(const Space& space, const Situation& s) override { return most_told(space, s); }
};

class LikeliestFirst final : public Strategy {
 public:
  Step choose(const Space& space, const Situation& s) override {
    if (space.model().goal == Goal::identify) return most_told(space, s);
    const std::vector<double> chances = space.solve_chances(s.belief);
    return least(space, s, [&](Step step) {
      if (step.kind == Step::Kind::repair) return -chances[step.index];
      // Only where no repair can solve anything alone: help, or what a repair waits for.
      return step.kind == Step::Kind::call ? 1.0 : 2.0;
    });
  }
};

class ChanceOverCost final : public Strategy {
 public:
  Step choose(const Space& space, const Situation& s) override {
    return space.model().goal == Goal::identify ? most_told(space, s) : plan_repairs(space, s).first;
  }
};

// docs/fixed_order.md; the numbers below are its rules.
class FixedOrder final : public Strategy {
 public:
  Step choose(const Space& space, const Situation& s) override {
    if (const std::optional<Step> sure = likeliest_repair(space, s, 0.95)) return *sure;  // 2
    std::optional<Step> next;
    int line = 10;
    for (const Step step : space.options(s)) {
      if (step.kind != Step::Kind::observe) continue;
      const int its = space.model().observations[step.index].line;
      if (its < line) next = step, line = its;
    }
    if (next && line == along_path) return halve(space, s, next->index).value_or(*next);
    if (next) return *next;
    if (space.model().goal == Goal::identify) return {};
    if (const std::optional<Step> repair = likeliest_repair(space, s, 1e-9)) return *repair;  // 3
    return plan_repairs(space, s).first;
  }

 private:
  static constexpr int along_path = 7;

  static std::optional<Step> likeliest_repair(const Space& space, const Situation& s, double at_least) {
    if (space.model().goal == Goal::identify) return std::nullopt;
    const std::vector<double> chances = space.solve_chances(s.belief);
    std::optional<Step> best;
    for (Index r = 0; r < chances.size(); ++r) {
      if (s.repaired[r] || !space.may_repair(s, r) || chances[r] < at_least) continue;
      if (!best || chances[r] > chances[best->index]) best = Step{Step::Kind::repair, r};
    }
    return best;
  }

  // The readings along the path of `first`, in order: a reading made counts as good where it would now be expected
  // good. The one at or just before the middle of those still open between the last good and the first bad.
  static std::optional<Step> halve(const Space& space, const Situation& s, Index first) {
    const std::vector<Observation>& all = space.model().observations;
    std::vector<Index> between;
    for (Index o = 0; o < all.size(); ++o) {
      if (all[o].line != along_path || all[o].path != all[first].path) continue;
      if (!s.observed[o]) {
        if (space.informative(s, o)) between.push_back(o);
        continue;
      }
      if (space.predict(s, o).front() < 0.5) break;
      between.clear();
    }
    if (between.empty()) return std::nullopt;
    const Step step{Step::Kind::observe, between[(between.size() - 1) / 2]};
    const std::vector<Step> options = space.options(s);
    return std::find(options.begin(), options.end(), step) == options.end() ? std::nullopt : std::optional(step);
  }
};

}  // namespace

std::unique_ptr<Strategy> make_simple(StrategyKind kind) {
  if (kind == StrategyKind::cheapest_first) return std::make_unique<CheapestFirst>();
  if (kind == StrategyKind::likeliest_first) return std::make_unique<LikeliestFirst>();
  return std::make_unique<ChanceOverCost>();
}

std::unique_ptr<Strategy> make_information() {
  return std::make_unique<Information>();
}

std::unique_ptr<Strategy> make_fixed_order() {
  return std::make_unique<FixedOrder>();
}

}  // namespace ringout::find
