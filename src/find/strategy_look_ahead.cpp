// Strategies that compare steps by what they lead to: look-ahead to a depth, and rollout to the end.
#include "find/policy.h"
#include "find/strategy.h"

namespace ringout::find {

namespace {

constexpr std::size_t few_options = 24;
constexpr std::size_t listed_observations = 12;
constexpr std::size_t listed_repairs = 3;
constexpr double likely_to_mend = 0.6;

class Ahead {
 public:
  Ahead(const Space& space, LookAheadSteps steps, const Effort& effort)
      : space_(space), steps_(steps), effort_(effort) {}

  [[nodiscard]] double value(const Situation& s, int depth) const {
    if (space_.over(s)) return 0.0;
    return depth == 0 ? estimate(space_, s) : best(s, depth).cost;
  }

  // Out of time, what was compared until then has to do.
  [[nodiscard]] Foreseen best(const Situation& s, int depth) const {
    constexpr double none = 1e300;
    Foreseen out{{}, none};
    if (space_.model().goal == Goal::repair) {
      const RepairPlan plan = plan_repairs(space_, s);
      out = {plan.first, plan.cost};
      if (likely(s, plan.first)) compare(s, plan.first, depth, out);
    }
    for (const Step step : short_list(space_, s)) {
      if (steps_ == LookAheadSteps::observations && step.kind != Step::Kind::observe) continue;
      if (out.cost < none && effort_.over()) break;
      compare(s, step, depth - 1, out);
    }
    return out;
  }

 private:
  // Takes the step where it costs less than `out`, with what is foreseen `depth` steps ahead after it.
  void compare(const Situation& s, Step step, int depth, Foreseen& out) const {
    double cost = space_.cost(s, step);
    for (const Branch& b : space_.branches(s, step)) {
      if (cost >= out.cost) return;
      if (b.ending == Ending::none) cost += b.chance * value(b.next, depth);
    }
    if (cost < out.cost - 1e-12) out = {step, cost};
  }

  // A likely repair is made first, and the same look ahead only where it does not help: as many checks as without it.
  [[nodiscard]] bool likely(const Situation& s, Step step) const {
    return steps_ == LookAheadSteps::all && step.kind == Step::Kind::repair &&
           space_.solve_chance(s, step.index) >= likely_to_mend;
  }

  const Space& space_;
  LookAheadSteps steps_;
  const Effort& effort_;
};

class LookAhead final : public Strategy {
 public:
  LookAhead(int depth, LookAheadSteps steps, const Effort& effort) : depth_(depth), steps_(steps), effort_(effort) {}

  Step choose(const Space& space, const Situation& s) override {
    return Ahead(space, steps_, effort_).best(s, depth_).step;
  }

 private:
  int depth_;
  LookAheadSteps steps_;
  Effort effort_;
};

// Q(step) = its cost + sum of P · V(next), V the cost of following the better of two simple strategies to the end.
class Rollout final : public Strategy {
 public:
  explicit Rollout(const Effort& effort) : effort_(effort) {}

  Step choose(const Space& space, const Situation& s) override {
    if (space_ != space.number()) begin(space);
    std::optional<Step> best;
    double least = 1e300;
    for (const Step step : promising_first(space, s)) {
      if (best && effort_.over()) break;
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
    space_ = space.number();
    bases_ = std::vector<Base>(2);
    bases_[0].strategy = make_look_ahead(1, LookAheadSteps::all, effort_);
    bases_[1].strategy = make_information();
    for (Base& base : bases_) base.cost = std::make_unique<PolicyCost>(space, *base.strategy, effort_.out_of_time);
  }

  // By what one step of look-ahead promises, so that what is left out when time runs out is the least likely to be
  // best.
  static std::vector<Step> promising_first(const Space& space, const Situation& s) {
    std::vector<std::pair<double, Step>> promised;
    for (const Step step : space.options(s)) {
      double cost = space.cost(s, step);
      for (const Branch& b : space.branches(s, step)) {
        if (b.ending == Ending::none) cost += b.chance * estimate(space, b.next);
      }
      promised.emplace_back(cost, step);
    }
    std::stable_sort(promised.begin(), promised.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<Step> out;
    for (const auto& [cost, step] : promised) out.push_back(step);
    return out;
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
  std::uint64_t space_ = 0;  // the number of the one that bases_ are of
  std::vector<Base> bases_;
};

}  // namespace

Foreseen look_ahead(const Space& space, const Situation& s, int depth, LookAheadSteps steps, const Effort& effort) {
  return Ahead(space, steps, effort).best(s, depth);
}

std::vector<Step> short_list(const Space& space, const Situation& s) {
  std::vector<Step> options = space.options(s);
  if (options.size() <= few_options) return options;
  const std::vector<double> chances = space.solve_chances(s.belief);
  std::vector<std::pair<double, Step>> observations, repairs;
  std::vector<Step> out;
  for (const Step step : options) {
    const double cost = std::max(space.cost(s, step), 1e-9);
    if (step.kind == Step::Kind::observe) observations.push_back({space.information(s, step.index) / cost, step});
    if (step.kind == Step::Kind::repair) repairs.push_back({chances[step.index] / cost, step});
    if (step.kind == Step::Kind::call) out.push_back(step);
  }
  const auto add = [&](std::vector<std::pair<double, Step>>& from, std::size_t most) {
    std::stable_sort(from.begin(), from.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (std::size_t i = 0; i < std::min(most, from.size()); ++i) out.push_back(from[i].second);
  };
  add(observations, listed_observations);
  add(repairs, listed_repairs);
  return out;
}

std::unique_ptr<Strategy> make_look_ahead(int depth, LookAheadSteps steps, const Effort& effort) {
  return std::make_unique<LookAhead>(depth, steps, effort);
}

std::unique_ptr<Strategy> make_rollout(const Effort& effort) {
  return std::make_unique<Rollout>(effort);
}

}  // namespace ringout::find
