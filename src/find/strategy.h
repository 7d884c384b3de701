// Ways to choose the next step. Each is a pure function of the situation, so that its expected cost can be computed
// exactly (policy.h) and compared.
//
//   fixed_order       docs/fixed_order.md, the baseline
//   cheapest_first    the cheapest step that can change anything, the call last
//   likeliest_first   repairs only, by chance to solve
//   chance_over_cost  repairs only, by chance to solve over cost, recomputed after each; the call where it is cheaper
//                     (both: to identify, where repairs play no part, as information)
//   repair_look_ahead an observation is made where C_o + sum over k of P(k) ECR(k) is the least and below the ECR
//                     without it, ECR the cost of chance_over_cost (Heckerman, Breese and Rommelse 1995, from memory)
//   information       the largest expected fall of the entropy of the state per cost; a repair's check tells, too
//   look_ahead        as repair_look_ahead, over `depth` steps, repairs among them: V_0 = ECR, V_k the least of ECR,
//                     each step with V_(k-1) after it, and a likely repair with V_k after it
//   rollout           one step, then the better of repair_look_ahead and information to the end
//   optimum           AND/OR search with memory and bounds (optimum.h), within its nodes
//   best              the optimum where it can be proved within the nodes; where it cannot, the better of what the
//                     search and a look-ahead promise; beyond `many` states or options a look-ahead over a short list:
//                     as deep as it may be where its work is within bounds, else one step
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string_view>

#include "find/space.h"

namespace ringout::find {

class Strategy {
 public:
  virtual ~Strategy() = default;
  // Of a situation that is not over.
  [[nodiscard]] virtual Step choose(const Space& space, const Situation& s) = 0;
};

enum class StrategyKind {
  fixed_order,
  cheapest_first,
  likeliest_first,
  chance_over_cost,
  repair_look_ahead,
  information,
  look_ahead,
  rollout,
  optimum,
  best,
};

// How far a choice may look. What is counted gives the same answer every time; the time is a further limit for an edge
// that has a clock and a person who waits.
struct Effort {
  std::size_t nodes = 1000;           // of one search
  std::size_t rollout_nodes = 4000;   // of one rollout; beyond, ECR stands in
  int depth = 2;                      // of look_ahead
  std::size_t work = 12'000;          // of a deeper look-ahead beyond `many` (strategy_best.cpp): 20 to 40 ms
  std::function<void()> begins;       // told where the choice of a step begins; empty: nobody
  std::function<bool()> out_of_time;  // asked between nodes: then the best so far is taken; empty: never

  void begin() const {
    if (begins) begins();
  }
  [[nodiscard]] bool over() const { return out_of_time && out_of_time(); }
};

[[nodiscard]] std::unique_ptr<Strategy> make_strategy(StrategyKind kind, const Effort& effort = {});
[[nodiscard]] std::string_view name_of(StrategyKind kind);
[[nodiscard]] std::optional<StrategyKind> strategy_named(std::string_view name);

// Repairs only, greedily by chance over cost, cut by the call where that is cheaper: expected cost and first step. The
// call only where the model has one; without it, where no repair can be made, what can be done.
struct RepairPlan {
  double cost = 0.0;
  Step first;
};
[[nodiscard]] RepairPlan plan_repairs(const Space& space, const Situation& s);

// One estimate of what a situation still costs: plan_repairs for a repair; for identifying, what the entropy left would
// cost at the best rate at hand.
[[nodiscard]] double estimate(const Space& space, const Situation& s);

// Expected fall of the entropy of the state, in nats; solved counts as known.
[[nodiscard]] double expected_gain(const Space& space, const Situation& s, Step step);

// The parts of make_strategy, one a file.
[[nodiscard]] std::unique_ptr<Strategy> make_fixed_order();
[[nodiscard]] std::unique_ptr<Strategy> make_simple(StrategyKind kind);
[[nodiscard]] std::unique_ptr<Strategy> make_information();
enum class LookAheadSteps { all, observations };  // observations: a repair only by plan_repairs
struct Foreseen {
  Step step;
  double cost = 0.0;  // of taking it, looking ahead, and plan_repairs from there: what that strategy costs
};
[[nodiscard]] Foreseen look_ahead(const Space& space, const Situation& s, int depth,
                                  LookAheadSteps steps = LookAheadSteps::all, const Effort& effort = {});
// The options worth comparing: all of them where they are few; otherwise the observations that tell most for their
// cost, the repairs with the best chance for theirs, and the call.
[[nodiscard]] std::vector<Step> short_list(const Space& space, const Situation& s);
[[nodiscard]] std::unique_ptr<Strategy> make_look_ahead(int depth, LookAheadSteps steps, const Effort& effort);
[[nodiscard]] std::unique_ptr<Strategy> make_rollout(const Effort& effort);
[[nodiscard]] std::unique_ptr<Strategy> make_optimum(const Effort& effort);
[[nodiscard]] std::unique_ptr<Strategy> make_best(const Effort& effort);

}  // namespace ringout::find
