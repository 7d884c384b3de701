// What a strategy costs on a model, exactly: its decision tree is walked, equal situations once.
#pragma once

#include <string>
#include <unordered_map>
#include <vector>

#include "find/strategy.h"

namespace ringout::find {

// Two situations with the same key have the same future (chances are compared to 2^-40).
[[nodiscard]] std::string key_of(const Situation& s);

// Expected cost of following a strategy, with what has been computed kept for the next question.
class PolicyCost {
 public:
  PolicyCost(const Space& space, Strategy& strategy, std::function<bool()> out_of_time = {})
      : space_(space), strategy_(strategy), out_of_time_(std::move(out_of_time)) {}

  // At most `nodes` new situations are walked, while there is time; beyond, `estimate` stands in for what was not
  // (complete() turns false).
  [[nodiscard]] double of(const Situation& s, std::size_t nodes);
  [[nodiscard]] bool complete() const { return complete_; }
  [[nodiscard]] std::size_t situations() const { return known_.size(); }

 private:
  double walk(const Situation& s);

  const Space& space_;
  Strategy& strategy_;
  std::function<bool()> out_of_time_;
  std::unordered_map<std::string, double> known_;
  std::size_t left_ = 0;
  bool complete_ = true;
};

struct ExpectedCost {
  double cost = 0.0;
  bool exact = true;  // false: the walk ended at its limit, and estimates stand in for the rest
  std::size_t situations = 0;
};
[[nodiscard]] ExpectedCost expected_cost(const Space& space, Strategy& strategy, std::size_t nodes = 1'000'000,
                                         const Effort& effort = {});

struct TreeText {
  std::string text;
  bool whole = true;  // as far as the depth goes; false: time ended it, and "…" stands for what is not shown
};
// The tree as text, one step a line, down to `depth` steps; branches with their chance and what they leave.
[[nodiscard]] TreeText print_tree(const Space& space, Strategy& strategy, int depth = 8, const Effort& effort = {});

}  // namespace ringout::find
