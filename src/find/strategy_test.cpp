// What bounds the choice of a step, and how far it looks.
#include "find/strategy.h"

#include <doctest/doctest.h>

#include "find/interview.h"
#include "find/optimum.h"
#include "find/policy.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

// Time that passes by being asked for, so that every run is the same.
struct CountedClock {
  int end = 0;
  int asked = 0;
  Effort effort() {
    Effort out;
    out.out_of_time = [this] { return ++asked > end; };
    return out;
  }
};

bool is_option(const Case& c, Step step) {
  const std::vector<Step> options = c.space.options(c.space.start());
  return std::find(options.begin(), options.end(), step) != options.end();
}

TEST_CASE("every strategy that looks ahead ends with its time, wherever that is, and has a step then") {
  const Case c(random_case(3, {10, 10, 10}));
  for (const StrategyKind kind :
       {StrategyKind::rollout, StrategyKind::best, StrategyKind::optimum, StrategyKind::look_ahead}) {
    CAPTURE(name_of(kind));
    for (const int end : {0, 1, 10, 40}) {
      CAPTURE(end);
      CountedClock clock{end};
      CHECK(is_option(c, make_strategy(kind, clock.effort())->choose(c.space, c.space.start())));
      CHECK(clock.asked > end);         // it was still busy then
      CHECK(clock.asked < end + 2000);  // and gave up soon: what it was within is not begun anew
    }
  }
}

TEST_CASE("a tree and a cost that time ends say so") {
  const Case c(random_case(3, {10, 10, 10}));
  const std::unique_ptr<Strategy> strategy = make_strategy(StrategyKind::information);
  CountedClock clock{20};
  const TreeText cut = print_tree(c.space, *strategy, 6, clock.effort());
  const TreeText whole = print_tree(c.space, *strategy, 6);
  CHECK(!cut.whole);
  CHECK(whole.whole);
  CHECK(cut.text.size() < whole.text.size());
  CHECK(cut.text.starts_with(whole.text.substr(0, whole.text.find('\n'))));
  CountedClock at_once{0};
  CHECK(print_tree(c.space, *strategy, 6, at_once.effort()).text.find("cost") != std::string::npos);
  CountedClock walking{50};
  const ExpectedCost cost = expected_cost(c.space, *strategy, 1'000'000, walking.effort());
  CHECK(!cost.exact);
  CHECK(cost.situations <= 50);
}

TEST_CASE("the time of a step begins with the view of a case") {
  Model m;
  for (Index i = 0; i < 3; ++i) add_repair(m, "renew " + std::to_string(i), 1, {{add_fault(m, "p", 0.3), 1.0}});
  int begun = 0;
  Effort effort;
  effort.begins = [&] { ++begun; };
  const Interview interview(m, StrategyKind::best, effort);
  static_cast<void>(interview.view());
  static_cast<void>(interview.view());
  CHECK(begun == 2);
}

// Four faults, alike but for two checks that together tell which; either alone leaves help the cheaper.
Model two_checks_together(std::size_t others) {
  Model m;
  m.faults = Faults::exactly_one;
  for (Index i = 0; i < 4; ++i) {
    add_fault(m, "part " + std::to_string(i), 0.25);
    add_repair(m, "renew part " + std::to_string(i), 15, {{i, 1.0}});
  }
  add_check(m, "upper or lower", 1, {{0, 1.0}, {1, 1.0}});
  add_check(m, "left or right", 1, {{0, 1.0}, {2, 1.0}});
  for (std::size_t i = 0; i < others; ++i) add_check(m, "dear check " + std::to_string(i), 50, {{0, 0.5}});
  m.call_cost = 20;
  return m;
}

TEST_CASE("where steps are many the default still looks two ahead, as long as that is within bounds") {
  const Case c(two_checks_together(30));
  REQUIRE(c.space.options(c.space.start()).size() > 24);
  const Step at_once{Step::Kind::call, 0};
  CHECK(look_ahead(c.space, c.space.start(), 1).step == at_once);
  const std::unique_ptr<Strategy> best = make_strategy(StrategyKind::best);
  CHECK(best->choose(c.space, c.space.start()).kind == Step::Kind::observe);
  CHECK(expected_cost(c.space, *best).cost == doctest::Approx(17));
  Effort little;
  little.work = 100;
  CHECK(make_strategy(StrategyKind::best, little)->choose(c.space, c.space.start()) == at_once);
}

TEST_CASE("where steps are many one step is compared however late it is") {
  Model m = two_checks_together(30);
  m.call_cost = 40;
  const Case c(m);
  REQUIRE(plan_repairs(c.space, c.space.start()).first.kind == Step::Kind::repair);
  CountedClock late{0};
  CHECK(make_strategy(StrategyKind::best, late.effort())->choose(c.space, c.space.start()).kind == Step::Kind::observe);
}

constexpr StrategyKind every_kind[] = {StrategyKind::fixed_order,       StrategyKind::cheapest_first,
                                       StrategyKind::likeliest_first,   StrategyKind::chance_over_cost,
                                       StrategyKind::information,       StrategyKind::look_ahead,
                                       StrategyKind::repair_look_ahead, StrategyKind::rollout,
                                       StrategyKind::optimum,           StrategyKind::best};

TEST_CASE("where nobody can be called no strategy calls, and each goes on to the end") {
  Model m;
  m.faults = Faults::listed;
  const Index a = add_fault(m, "a", 1), b = add_fault(m, "b", 1);
  m.states.push_back({{a, b}, 1, {}});
  add_repair(m, "ra", 9, {{a, 1.0}});
  add_repair(m, "rb", 1, {{b, 1.0}});
  const Case c(m);
  for (const StrategyKind kind : every_kind) {
    CAPTURE(name_of(kind));
    CHECK(expected_cost(c.space, *make_strategy(kind)).cost == doctest::Approx(10));
  }
}

TEST_CASE("where nobody can be called and no repair can be made, what it waits for is done") {
  Model m;
  const Index a = add_fault(m, "a", 1);
  const Index gate = add_check(m, "gate", 2, {{a, 1.0}});
  add_repair(m, "ra", 5, {{a, 1.0}});
  m.repairs[0].needs.push_back({gate, {}});
  const Case c(m);
  for (const StrategyKind kind : every_kind) {
    CAPTURE(name_of(kind));
    CHECK(make_strategy(kind)->choose(c.space, c.space.start()) == Step{Step::Kind::observe, gate});
  }
}

TEST_CASE("to identify no strategy repairs or calls, and none costs less than the optimum") {
  Model m;
  m.goal = Goal::identify;
  for (Index i = 0; i < 4; ++i) {
    add_fault(m, "part " + std::to_string(i), 0.25);
    add_repair(m, "renew part " + std::to_string(i), 1, {{i, 1.0}});
    add_check(m, "look at part " + std::to_string(i), 1, {{i, 1.0}});
  }
  const Case c(m);
  OptimumSearch search(c.space, {});
  const OptimumSearch::Bounds least = search.solve(c.space.start(), 10'000);
  REQUIRE(least.closed());
  for (const StrategyKind kind : every_kind) {
    CAPTURE(name_of(kind));
    CHECK(make_strategy(kind)->choose(c.space, c.space.start()).kind == Step::Kind::observe);
    CHECK(expected_cost(c.space, *make_strategy(kind)).cost >= least.lower - 1e-9);
  }
}

TEST_CASE("a plan prices what it hardly ever comes to") {
  Model m;
  const Index a = add_fault(m, "a", 1);
  add_fault(m, "b", 5e-10);
  add_repair(m, "ra", 1, {{a, 1.0}});
  m.call_cost = 1e9;
  const Case c(m);
  CHECK(plan_repairs(c.space, c.space.start()).cost == doctest::Approx(1.5));
}

// c + sum of P · V, each with a look-ahead to the depth after it.
double looked_ahead_after(const Space& space, const Situation& s, Step step, int depth) {
  double cost = space.cost(s, step);
  for (const Branch& b : space.branches(s, step)) {
    if (b.ending == Ending::none) cost += b.chance * look_ahead(space, b.next, depth).cost;
  }
  return cost;
}

TEST_CASE("a look-ahead promises no more than any step, or a likely repair, and a look-ahead after it do") {
  int likely = 0;
  for (std::uint32_t seed = 1; seed <= 200; ++seed) {
    CAPTURE(seed);
    const Case c(random_case(seed, {4, 3, 3}));
    const Situation& s = c.space.start();
    const double promised = look_ahead(c.space, s, 2).cost;
    for (const Step step : c.space.options(s)) CHECK(promised <= looked_ahead_after(c.space, s, step, 1) + 1e-9);
    const Step first = plan_repairs(c.space, s).first;
    if (first.kind != Step::Kind::repair || c.space.solve_chance(s, first.index) < 0.6) continue;
    ++likely;
    CHECK(promised <= looked_ahead_after(c.space, s, first, 2) + 1e-9);
  }
  CHECK(likely > 20);
}

}  // namespace
