#include "find/explain.h"

#include <doctest/doctest.h>

#include <cmath>

#include "find/find.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

Model lamp() {
  Model m;
  m.faults = Faults::independent;
  const Index bulb = add_fault(m, "bulb", 0.1), fuse = add_fault(m, "fuse", 0.05),
              supply = add_fault(m, "supply", 0.01);
  const Index dark = add_check(m, "lamp", 0, {{bulb, 1.0}, {fuse, 1.0}, {supply, 1.0}});
  add_check(m, "look at the fuse", 1, {{fuse, 0.95}}, 0.02);
  add_check(m, "other lamp", 0.5, {{supply, 1.0}});
  add_repair(m, "replace the bulb", 3, {{bulb, 1.0}});
  add_repair(m, "replace the fuse", 2, {{fuse, 1.0}});
  add_repair(m, "charge the battery", 30, {{supply, 0.9}});
  m.call_cost = 100;
  m.symptoms.push_back({dark, 1});
  return m;
}

TEST_CASE("a recommendation carries its alternatives, what may come of each and what that leaves") {
  const Case c(lamp());
  const std::unique_ptr<Strategy> best = make_strategy(StrategyKind::best);
  const Recommendation r = recommend(c.space, c.space.start(), *best);
  REQUIRE(r.alternatives.size() > 2);
  CHECK(r.alternatives.front().step == r.step);
  // Here the search closes: the choice is the cheapest expectation, and that is what the strategy costs.
  CHECK(*r.alternatives.front().expected == doctest::Approx(expected_cost(c.space, *best).cost).epsilon(1e-9));
  CHECK(*r.lower == doctest::Approx(*r.alternatives.front().expected).epsilon(1e-9));
  for (const Alternative& a : r.alternatives) {
    CHECK(*a.expected >= *r.lower);
    double sum = 0;
    for (const Prospect& p : a.prospects) {
      sum += p.chance;
      CHECK((p.ends || !p.remains.empty()));
    }
    CHECK(sum == doctest::Approx(1.0).epsilon(1e-12));
  }
}

TEST_CASE("the weights of the evidence add up to the change of the log odds") {
  const Model m = lamp();
  const Likelihood likelihood(m);
  const std::vector<Event> events{Answer{1, 1}, FailedRepair{0}};
  const Conclusion c = weigh(likelihood, events, 1);
  double sum = 0;
  for (const Evidence& e : c.for_it) sum += e.weight;
  for (const Evidence& e : c.against_it) sum += e.weight;
  const auto log_odds = [](double p) { return std::log(p / (1 - p)); };
  CHECK(sum == doctest::Approx(log_odds(c.now) - log_odds(c.prior)).epsilon(1e-9));
  REQUIRE(!c.for_it.empty());
  CHECK(c.now > 0.9);
  // The bulb was mended and something is still wrong: against it, without limit.
  CHECK(weigh(likelihood, events, 0).against_it.front().event == 1);
}

TEST_CASE("a case is replayed onto the bench: what was done is not offered again, what can't be told neither") {
  const Model m = lamp();
  const Likelihood likelihood(m);
  Posterior p(likelihood);
  const std::vector<Event> events{Answer{2, 0}, FailedRepair{0}};
  for (const Event& e : events) REQUIRE(p.take(e) == Taken::yes);
  Bench bench(p, events);
  CHECK(bench.situation.repaired[0]);
  CHECK(bench.situation.observed[2]);
  CHECK(bench.set_aside >= 0.0);
  CHECK(bench.set_aside < 0.05);
  set_aside(bench.situation, 1);
  for (const Step step : bench.space.options(bench.situation)) CHECK(step != Step{Step::Kind::observe, 1});
}

TEST_CASE("where nothing leads to the end any more no time to it is named") {
  Model m;
  const Index a = add_fault(m, "a", 1), b = add_fault(m, "b", 1);
  add_repair(m, "ra", 5, {{a, 1.0}});
  add_repair(m, "rb", 7, {{b, 1.0}});
  const Case c(m);
  const std::unique_ptr<Strategy> best = make_strategy(StrategyKind::best);
  Situation s = c.space.start();
  CHECK(recommend(c.space, s, *best).alternatives.front().expected == doctest::Approx(8.5));
  s.repaired.set(0);  // skipped
  const Recommendation r = recommend(c.space, s, *best);
  CHECK(r.step == Step{Step::Kind::repair, 1});
  CHECK(!r.lower);
  for (const Alternative& each : r.alternatives) CHECK(!each.expected);
}

TEST_CASE("no alternative promises less than what is proved to be the least") {
  Model m;
  m.goal = Goal::identify;
  for (Index i = 0; i < 100; ++i) add_fault(m, "part " + std::to_string(i), 1);
  for (Index k = 0; k < 7; ++k) {
    std::vector<ShownBy> shown;
    for (Index i = 0; i < 100; ++i) {
      if ((i >> k & 1U) != 0) shown.push_back({i, 1.0});
    }
    add_check(m, "bit " + std::to_string(k), 1, shown);
  }
  const Case c(m);
  const Recommendation r = recommend(c.space, c.space.start(), *make_strategy(StrategyKind::best));
  // A code of 100 words has 6.72 bits on average; by their entropy it would be 6.64.
  REQUIRE(r.lower);
  CHECK(*r.lower == doctest::Approx(6.72));
  for (const Alternative& each : r.alternatives) CHECK(*each.expected >= *r.lower);
}

}  // namespace
