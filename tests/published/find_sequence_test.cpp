// Sequences of tests that identify a fault, against the literature. Marks as in find_repair_test.cpp.
#include <doctest/doctest.h>

#include <numeric>

#include "find/bounds.h"
#include "find_testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

// The five-fault system of Pattipati and Alexandridis 1990: matrix RECALL; the optimum 2.18 RECALL, and BRUTE gives
// exactly that from the recalled matrix, which is the only check on it. Unit costs.
Model five_faults() {
  return test_matrix({"00000", "01001", "00110", "10011", "11000", "11110"}, {.70, .01, .02, .10, .05, .12});
}

TEST_CASE("five faults, five tests") {
  const Case c(five_faults());
  const OptimumSearch::Bounds b = optimum_of(c);
  CHECK(b.closed());
  CHECK(b.upper == doctest::Approx(2.18).epsilon(1e-12));
  CHECK(huffman_length({.70, .01, .02, .10, .05, .12}, 2) == doctest::Approx(1.59).epsilon(1e-12));
  CHECK(lower_bound(c.space, c.space.start()) == doctest::Approx(1.59).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::information) == doctest::Approx(2.86).epsilon(1e-12));  // the greedy trap
  CHECK(cost_of(c, StrategyKind::rollout) == doctest::Approx(2.18).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::look_ahead) == doctest::Approx(2.18).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::best) == doctest::Approx(2.18).epsilon(1e-12));
}

TEST_CASE("five faults: the best continuation after each first test") {
  const Case c(five_faults());
  const std::vector<double> expected{2.86, 2.18, 2.82, 2.18, 2.89};
  for (Index t = 0; t < 5; ++t) {
    CAPTURE(t);
    double cost = 1;
    for (const Branch& branch : c.space.branches(c.space.start(), {Step::Kind::observe, t})) {
      OptimumSearch search(c.space, {});
      const OptimumSearch::Bounds b = search.solve(branch.next, 100'000);
      CHECK(b.closed());
      cost += branch.chance * b.upper;
    }
    CHECK(cost == doctest::Approx(expected[t]).epsilon(1e-12));
  }
}

TEST_CASE("five faults: the optimal tree") {
  const Case c(five_faults());
  const std::unique_ptr<Strategy> optimum = make_strategy(StrategyKind::optimum);
  const std::string tree = print_tree(c.space, *optimum).text;
  // t2[0: t4[0: s0, 1: t1[0: s2, 1: s3]], 1: t3[0: t1[0: s1, 1: s4], 1: s5]]
  CHECK(tree == R"(t2 (cost 1, reached 1)
- good: 0.82
  t4 (cost 1, reached 0.82)
  - good: 0.854
    identified: s0 (1 of 1 left)
  - bad: 0.146
    t1 (cost 1, reached 0.12)
    - good: 0.167
      identified: s2 (1 of 1 left)
    - bad: 0.833
      identified: s3 (1 of 1 left)
- bad: 0.18
  t3 (cost 1, reached 0.18)
  - good: 0.333
    t1 (cost 1, reached 0.06)
    - good: 0.167
      identified: s1 (1 of 1 left)
    - bad: 0.833
      identified: s4 (1 of 1 left)
  - bad: 0.667
    identified: s5 (1 of 1 left)
)");
}

// Circuit diagnosis for electronics assembly (DSS 1999), tables 1 and 2, READ; expected numbers BRUTE.
const std::vector<std::string> boards{"0000", "0001", "0011", "0111", "1111"};

std::size_t tests_used(const Case& c, Strategy& strategy, Index defect) {
  Situation s = c.space.start();
  std::size_t used = 0;
  while (!c.space.over(s)) {
    const Step step = strategy.choose(c.space, s);
    ++used;
    for (const Branch& b : c.space.branches(s, step)) {
      if (c.space.likelihood(step.index, b.outcome, defect) == 0.0) continue;
      if (b.ending != Ending::none) return used;
      s = b.next;
      break;
    }
  }
  return used;
}

TEST_CASE("defects of a board") {
  const Case c(test_matrix(boards, std::vector<double>(5, 0.2)));
  InOrder forward(
      {{Step::Kind::observe, 0}, {Step::Kind::observe, 1}, {Step::Kind::observe, 2}, {Step::Kind::observe, 3}});
  InOrder from_second({{Step::Kind::observe, 1}, {Step::Kind::observe, 2}, {Step::Kind::observe, 0}});
  CHECK(tests_used(c, forward, 2) == 3);      // table 2: t1, t2, t3
  CHECK(tests_used(c, from_second, 2) == 2);  // table 2: starting with t2
  CHECK(optimum_of(c).upper == doctest::Approx(12.0 / 5).epsilon(1e-12));
  CHECK(optimum_of(Case(test_matrix(boards, {.1, .1, .6, .1, .1}))).upper == doctest::Approx(2.2).epsilon(1e-12));
  CHECK(optimum_of(Case(test_matrix(boards, {.5, .2, .1, .1, .1}))).upper == doctest::Approx(2.0).epsilon(1e-12));
  CHECK(huffman_length({.1, .1, .6, .1, .1}, 2) == doctest::Approx(1.8).epsilon(1e-12));
}

// Table 3, READ: what a test shows is unknown for some defects; four tests for defect 3. "Unknown" is even chances
// here.
TEST_CASE("defects of a board, with unknown entries") {
  const std::vector<std::string> rows{"UUU0", "UU01", "U011", "0111", "1111"};
  Model m = test_matrix(rows, std::vector<double>(5, 0.2));
  for (Index t = 0; t < 4; ++t) {
    for (Index d = 0; d < 5; ++d) {
      if (rows[d][t] == 'U') m.observations[t].effects.push_back({d, {0.5, 0.5}});
    }
  }
  REQUIRE(problems(m).empty());
  const Case c(m);
  InOrder forward(
      {{Step::Kind::observe, 0}, {Step::Kind::observe, 1}, {Step::Kind::observe, 2}, {Step::Kind::observe, 3}});
  CHECK(tests_used(c, forward, 2) == 4);
}

// BRUTE: n stages in a row, one is broken, all alike; a probe behind a stage is bad from the broken one on.
TEST_CASE("a chain of stages: halving and front to back") {
  struct Row {
    std::size_t n;
    double optimum, in_order;
  };
  for (const Row& row :
       {Row{4, 2, 2.25}, Row{5, 2.4, 2.8}, Row{8, 3, 4.375}, Row{13, 49.0 / 13, 90.0 / 13}, Row{16, 4, 8.4375}}) {
    CAPTURE(row.n);
    std::vector<std::string> rows(row.n, std::string(row.n - 1, '0'));
    for (std::size_t fault = 0; fault < row.n; ++fault) {
      for (std::size_t probe = fault; probe + 1 < row.n; ++probe) rows[fault][probe] = '1';
    }
    const Case c(test_matrix(rows, std::vector<double>(row.n, 1.0 / static_cast<double>(row.n))));
    const OptimumSearch::Bounds b = optimum_of(c);
    CHECK(b.closed());
    CHECK(b.upper == doctest::Approx(row.optimum).epsilon(1e-12));
    CHECK(cost_of(c, StrategyKind::cheapest_first) == doctest::Approx(row.in_order).epsilon(1e-4));
    CHECK(cost_of(c, StrategyKind::rollout) == doctest::Approx(row.optimum).epsilon(1e-12));
    // The fixed order's halving (US Army IT0338, excerpt READ) is optimal on such a chain where n is a power of two.
    if ((row.n & (row.n - 1)) == 0)
      CHECK(cost_of(c, StrategyKind::fixed_order) == doctest::Approx(row.optimum).epsilon(1e-12));
  }
}

}  // namespace
