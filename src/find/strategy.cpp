#include "find/strategy.h"

#include <array>
#include <cmath>

namespace ringout::find {

namespace {

struct Named {
  StrategyKind kind;
  std::string_view name;
};
constexpr std::array<Named, 10> names{{{StrategyKind::fixed_order, "fixed-order"},
                                       {StrategyKind::cheapest_first, "cheapest-first"},
                                       {StrategyKind::likeliest_first, "likeliest-first"},
                                       {StrategyKind::chance_over_cost, "chance-over-cost"},
                                       {StrategyKind::repair_look_ahead, "repair-look-ahead"},
                                       {StrategyKind::information, "information"},
                                       {StrategyKind::look_ahead, "look-ahead"},
                                       {StrategyKind::rollout, "rollout"},
                                       {StrategyKind::optimum, "optimum"},
                                       {StrategyKind::best, "best"}}};

double entropy(const Belief& belief) {
  double sum = 0;
  for (const Weighted& w : belief) sum -= w.chance > 0 ? w.chance * std::log(w.chance) : 0;
  return sum;
}

}  // namespace

std::string_view name_of(StrategyKind kind) {
  for (const Named& n : names) {
    if (n.kind == kind) return n.name;
  }
  RINGOUT_CHECK(false);
}

std::optional<StrategyKind> strategy_named(std::string_view name) {
  for (const Named& n : names) {
    if (n.name == name) return n.kind;
  }
  return std::nullopt;
}

std::unique_ptr<Strategy> make_strategy(StrategyKind kind, const Effort& effort) {
  switch (kind) {
    case StrategyKind::fixed_order:
      return make_fixed_order();
    case StrategyKind::cheapest_first:
    case StrategyKind::likeliest_first:
    case StrategyKind::chance_over_cost:
      return make_simple(kind);
    case StrategyKind::repair_look_ahead:
      return make_look_ahead(1, LookAheadSteps::observations, effort);
    case StrategyKind::information:
      return make_information();
    case StrategyKind::look_ahead:
      return make_look_ahead(effort.depth, LookAheadSteps::all, effort);
    case StrategyKind::rollout:
      return make_rollout(effort);
    case StrategyKind::optimum:
      return make_optimum(effort);
    case StrategyKind::best:
      return make_best(effort);
  }
  RINGOUT_CHECK(false);
}

namespace {

// Beyond so many states a plan ends where the next repair is not worth its cost against calling.
constexpr std::size_t many_states = 96;
constexpr double hardly_reached = 1e-9;  // from there on a plan calls
constexpr double no_way_on = 1e12;       // where nobody can be called and nothing is left to do

struct Try {
  double cost = 0;
  double failed = 0;  // chance that something is still wrong, given that this is reached
};

std::optional<Step> best_rate(const Space& space, const Situation& s) {
  const std::vector<double> chances = space.solve_chances(s.belief);
  const std::optional<double> call = space.model().call_cost;
  std::optional<Step> best;
  double most = 0;
  for (Index r = 0; r < chances.size(); ++r) {
    if (chances[r] <= 0 || s.repaired[r] || !space.may_repair(s, r)) continue;
    const double cost = space.cost(s, {Step::Kind::repair, r});
    if (s.belief.size() > many_states && call && chances[r] * *call < cost) continue;
    const double rate = chances[r] / std::max(cost, 1e-9);
    if (!best || rate > most) best = Step{Step::Kind::repair, r}, most = rate;
  }
  return best;
}

// Without a call, where no repair solves anything alone: the one that most likely mends some of it for its cost; else
// what it waits for.
Step go_on(const Space& space, const Situation& s) {
  const std::vector<Step> options = space.options(s);
  Step best = options.empty() ? Step{} : options.front();
  double most = 0;
  for (const Step step : options) {
    if (step.kind != Step::Kind::repair) continue;
    const double rate = space.touch_chance(s, step.index) / std::max(space.cost(s, step), 1e-9);
    if (rate > most) best = step, most = rate;
  }
  return best;
}

}  // namespace

RepairPlan plan_repairs(const Space& space, const Situation& s) {
  const std::optional<double> call = space.model().call_cost;
  std::vector<Try> tries;
  Step first{Step::Kind::call, 0};
  Situation now = s;
  double reached = 1.0;
  double cost = call.value_or(no_way_on);
  while (reached > hardly_reached || !call) {
    std::optional<Step> best = best_rate(space, now);
    if (!best && !call) best = go_on(space, now);
    if (tries.empty() && best) first = *best;
    if (!best || best->kind != Step::Kind::repair) break;
    tries.push_back({space.cost(now, *best), 0.0});
    std::vector<Branch> after = space.branches(now, *best);
    if (after.back().ending != Ending::none) {
      cost = 0;
      break;
    }
    tries.back().failed = after.back().chance;
    reached *= after.back().chance;
    now = std::move(after.back().next);
  }
  for (std::size_t i = tries.size(); i-- > 0;) {
    cost = tries[i].cost + tries[i].failed * cost;
    if (!call || *call >= cost) continue;
    cost = *call;
    if (i == 0) first = {Step::Kind::call, 0};
  }
  return {cost, first};
}

double expected_gain(const Space& space, const Situation& s, Step step) {
  if (step.kind == Step::Kind::call || step.kind == Step::Kind::stop) return 0.0;
  if (step.kind == Step::Kind::observe) return space.information(s, step.index);
  double after = 0;
  for (const Branch& b : space.branches(s, step)) {
    if (b.ending == Ending::none) after += b.chance * entropy(b.next.belief);
  }
  return entropy(s.belief) - after;
}

double estimate(const Space& space, const Situation& s) {
  if (space.over(s)) return 0.0;
  if (space.model().goal == Goal::repair) return plan_repairs(space, s).cost;
  double best_rate = 0;
  double least = 1e300;
  for (const Step step : space.options(s)) {
    const double cost = std::max(space.cost(s, step), 1e-9);
    best_rate = std::max(best_rate, expected_gain(space, s, step) / cost);
    least = std::min(least, cost);
  }
  return best_rate > 0 ? std::max(least, entropy(s.belief) / best_rate) : least;
}

}  // namespace ringout::find
