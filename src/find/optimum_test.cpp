// The optimum against trying everything, and what must hold for every strategy, on random cases.
#include "find/optimum.h"

#include <doctest/doctest.h>

#include "find/bounds.h"
#include "find/exhaustive_testing.h"
#include "find/policy.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

constexpr RandomSize small{3, 2, 3};

double optimum_cost(const Case& c) {
  OptimumSearch search(c.space, {});
  const OptimumSearch::Bounds b = search.solve(c.space.start(), 300'000);
  CHECK(b.closed());
  return b.upper;
}

TEST_CASE("the optimum is what trying everything finds, on 1,000 random cases") {
  for (std::uint32_t seed = 1; seed <= 1000; ++seed) {
    CAPTURE(seed);
    const Case c(random_case(seed, small));
    REQUIRE(problems(c.model).empty());
    REQUIRE(optimum_cost(c) == doctest::Approx(exhaustive_optimum(c.model)).epsilon(1e-7));
  }
}

TEST_CASE("no strategy beats the optimum, and following it costs what it promised") {
  for (std::uint32_t seed = 1; seed <= 150; ++seed) {
    CAPTURE(seed);
    const Case c(random_case(seed, small));
    const double least = optimum_cost(c);
    for (const StrategyKind kind :
         {StrategyKind::fixed_order, StrategyKind::cheapest_first, StrategyKind::likeliest_first,
          StrategyKind::chance_over_cost, StrategyKind::repair_look_ahead, StrategyKind::information,
          StrategyKind::look_ahead, StrategyKind::rollout}) {
      CAPTURE(name_of(kind));
      const std::unique_ptr<Strategy> strategy = make_strategy(kind);
      const ExpectedCost cost = expected_cost(c.space, *strategy);
      CHECK(cost.exact);
      CHECK(cost.cost >= least - 1e-7);
    }
    const std::unique_ptr<Strategy> best = make_strategy(StrategyKind::best);
    CHECK(expected_cost(c.space, *best).cost == doctest::Approx(least).epsilon(1e-7));
  }
}

TEST_CASE("one more free and perfect test never costs anything") {
  for (std::uint32_t seed = 1; seed <= 150; ++seed) {
    CAPTURE(seed);
    Model model = random_case(seed, small);
    const double before = optimum_cost(Case(model));
    add_check(model, "free", 0.0, {{seed % 3, 1.0}});
    CHECK(optimum_cost(Case(model)) <= before + 1e-7);
  }
}

TEST_CASE("a search that may not finish states true bounds, and they close with more nodes") {
  const Case c(random_case(7, {8, 8, 8}));
  OptimumSearch search(c.space, {});
  OptimumSearch::Bounds last{0.0, 1e300};
  for (int i = 0; i < 12; ++i) {
    const OptimumSearch::Bounds b = search.solve(c.space.start(), 300);
    CHECK(b.lower >= last.lower - 1e-9);
    CHECK(b.upper <= last.upper + 1e-9);
    CHECK(b.lower <= b.upper + 1e-9);
    last = b;
  }
  CHECK(last.upper < plan_repairs(c.space, c.space.start()).cost + 1e-9);
}

TEST_CASE("the same search gives the same answer") {
  const Case c(random_case(11, {7, 7, 7}));
  OptimumSearch one(c.space, {}), two(c.space, {});
  CHECK(one.solve(c.space.start(), 2000).upper == two.solve(c.space.start(), 2000).upper);
  CHECK(one.step(c.space.start()) == two.step(c.space.start()));
}

TEST_CASE("to identify, what an impossible answer would allow is not waited for") {
  Model m;
  m.goal = Goal::identify;
  const Index a = add_fault(m, "a", 1);
  add_fault(m, "b", 1);
  const Index gate = add_check(m, "gate", 50, {});
  const Index tells = add_check(m, "tells", 1, {{a, 1.0}});
  m.observations[tells].needs.push_back({gate, 1});
  CHECK(Case(m).space.over(Case(m).space.start()));
  CHECK(optimum_cost(Case(m)) == 0.0);
  // A chance that the gate opens: then it is worth the way.
  m.observations[gate].healthy = {0.5, 0.5};
  CHECK(optimum_cost(Case(m)) == doctest::Approx(50.5));
  // A ring of needs is never entered.
  m.observations[gate].needs.push_back({tells, {}});
  CHECK(optimum_cost(Case(m)) == 0.0);
}

TEST_CASE("to identify, the lower bound does not count on checks that may never be allowed") {
  Model m;
  m.goal = Goal::identify;
  for (int i = 0; i < 4; ++i) add_fault(m, "part " + std::to_string(i), 1);
  const Index gate = add_check(m, "gate", 0.25, {}, 0.5);
  const Index upper = add_check(m, "upper", 1, {{0, 1.0}, {1, 1.0}}),
              left = add_check(m, "left", 1, {{0, 1.0}, {2, 1.0}});
  m.observations[left].needs.push_back({gate, 1});
  m.observations[upper].needs.push_back({gate, 1});
  const Case c(m);
  // The gate, and where it opens two looks.
  CHECK(lower_bound(c.space, c.space.start()) <= 1.25);
  CHECK(optimum_cost(c) == doctest::Approx(1.25));
}

}  // namespace
