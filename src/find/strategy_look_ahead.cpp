// Strategies that compare steps by what they lead to: look-ahead to a depth, and rollout to the end.
#include "find/policy.h"
#include "find/strategy.h"

namespace ringout::find {

namespace {

class LookAhead final : public Strategy {
 public:
  LookAhead(int depth, LookAheadSteps steps) : depth_(depth), steps_(steps) {}

  Step choose(const Space& space, const Situation& s) override { return best(space, s, depth_).step; }

 private:
  struct Best {
    Step step;
    double cost = 0;
  };

  double value(const Space& space, const Situation& s, int depth) const {
    if (space.over(s)) return 0.0;
    return depth == 0 ? estimate(space, s) : best(space, s, depth).cost;
  }

  Best best(const Space& space, const Situation& s, int depth) const {
    Best out{{}, 1e300};
    if (space.model().goal == Goal::repair) {
      const RepairPlan plan = plan_repairs(space, s);
      out = {plan.first, plan.cost};
    }
    for (const Step step : space.options(s)) {
      if (steps_ == LookAheadSteps::observations && step.kind != Step::Kind::observe) continue;
      double cost = space.cost(s, step);
      for (const Branch& b : space.branches(s, step)) {
        if (cost >= out.cost) break;
        if (b.ending == Ending::none) cost += b.chance * value(space, b.next, depth - 1);
      }
      if (cost < out.cost - 1e-12) out = {step, cost};
    }
    return out;
  }

  int depth_;
  LookAheadSteps steps_;
};

// Q(step) = its cost + sum of P · V(next), V the cost of following the better of two simple strategies to the end.
class Rollout final : public Strategy {
 public:
  explicit Rollout(const Effort& effort) : effort_(effort) {}

  Step choose(const Space& space, const Situation& s) override {
    if (space_ != &space) begin(space);
    std::optional<Step> best;
    double least = 1e300;
    for (const Step step : space.options(s)) {
      if (effort_.out_of_time && best && effort_.out_of_time()) break;
      double cost = space.cost(s, step);
      for (const Branch& b : space.branches(s, step)) {
        if (cost >= least) break;
        if (b.ending == Ending::none) cost += b.chance * value(b.next);
      }
      if (!best || cost < least - 1e-12) best = step, least = cost;
    }
    return best.value_or(Step{});
  }

 private:
  void begin(const Space& space) {
    space_ = &space;
    bases_.clear();
    bases_.push_back({make_look_ahead(1, LookAheadSteps::all), nullptr});
    bases_.push_back({make_information(), nullptr});
    for (Base& base : bases_) base.cost = std::make_unique<PolicyCost>(space, *base.strategy);
  }

  double value(const Situation& s) {
    double least = 1e300;
    for (Base& base : bases_) least = std::min(least, base.cost->of(s, effort_.rollout_nodes));
    return least;
  }

  struct Base {
    std::unique_ptr<Strategy> strategy;
    std::unique_ptr<PolicyCost> cost;
  };
  Effort effort_;
  const Space* space_ = nullptr;
  std::vector<Base> bases_;
};

}  // namespace

std::unique_ptr<Strategy> make_look_ahead(int depth, LookAheadSteps steps) {
  return std::make_unique<LookAhead>(depth, steps);
}

std::unique_ptr<Strategy> make_rollout(const Effort& effort) {
  return std::make_unique<Rollout>(effort);
}

}  // namespace ringout::find
