// Posteriors against the literature. Marks: READ, RECALL (from memory), BRUTE (recomputed by an independent exact
// script), OWN (made for this project).
#include "find/posterior.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "find/conflict.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

double value(const Posterior& p, Index mode) {
  return p.marginals()[mode];
}

// Russell and Norvig's fever example, RECALL and BRUTE; the priors are OWN.
TEST_CASE("noisy-or: fever") {
  Model m;
  m.faults = Faults::independent;
  m.goal = Goal::identify;
  m.max_faults = 3;
  const Index cold = add_fault(m, "cold", 0.10), flu = add_fault(m, "flu", 0.05),
              malaria = add_fault(m, "malaria", 0.01);
  const Index fever = add_check(m, "fever", 1, {{cold, 0.4}, {flu, 0.8}, {malaria, 0.9}});
  m.observations[fever].combination = Combination::noisy;
  const Index no_flu = add_check(m, "flu test", 1, {{flu, 1.0}});
  REQUIRE(problems(m).empty());
  const Likelihood likelihood(m);
  CHECK(likelihood.of(fever, 1, {}) == doctest::Approx(0.0));
  CHECK(likelihood.of(fever, 1, {malaria}) == doctest::Approx(0.9));
  CHECK(likelihood.of(fever, 1, {flu}) == doctest::Approx(0.8));
  CHECK(likelihood.of(fever, 1, {cold}) == doctest::Approx(0.4));
  CHECK(likelihood.of(fever, 1, {flu, malaria}) == doctest::Approx(0.98));
  CHECK(likelihood.of(fever, 1, {cold, malaria}) == doctest::Approx(0.94));
  CHECK(likelihood.of(fever, 1, {cold, flu}) == doctest::Approx(0.88));
  CHECK(likelihood.of(fever, 1, {cold, flu, malaria}) == doctest::Approx(0.988));
  Posterior p(likelihood);
  CHECK(p.predict(fever)[1] == doctest::Approx(0.0866944).epsilon(1e-6));
  REQUIRE(p.take(Answer{fever, 1}) == Taken::yes);
  CHECK(value(p, cold) == doctest::Approx(0.495054).epsilon(1e-6));
  CHECK(value(p, flu) == doctest::Approx(0.467001).epsilon(1e-6));
  CHECK(value(p, malaria) == doctest::Approx(0.104717).epsilon(1e-6));
  REQUIRE(p.take(Answer{no_flu, 0}) == Taken::yes);
  CHECK(value(p, cold) == doctest::Approx(0.833470).epsilon(1e-6));
  CHECK(value(p, malaria) == doctest::Approx(0.185855).epsilon(1e-6));
}

// Stern, Kalech, Rogov and Feldman 2015, figure 1, READ: the likeliest diagnosis misleads.
TEST_CASE("health state from a list of diagnoses") {
  Model m;
  m.faults = Faults::listed;
  for (int i = 1; i <= 8; ++i) add_fault(m, "C" + std::to_string(i), 0.1);
  m.states.push_back({{0, 1}, 0.2, {}});
  for (Index k = 3; k < 8; ++k) m.states.push_back({{2, k}, 0.16, {}});
  m.call_cost = 1;
  REQUIRE(problems(m).empty());
  const Likelihood likelihood(m);
  const Posterior p(likelihood);
  const std::vector<double> expected{0.2, 0.2, 0.8, 0.16, 0.16, 0.16, 0.16, 0.16};
  for (Index i = 0; i < 8; ++i) CHECK(value(p, i) == doctest::Approx(expected[i]));
  CHECK(p.likeliest(1).front().faults == FaultSet{0, 1});
}

TEST_CASE("contradictory answers are refused, named, and one is offered for doubt") {
  Model m;
  const Index a = add_fault(m, "a", 0.5), b = add_fault(m, "b", 0.5);
  const Index sees_a = add_check(m, "sees a", 1, {{a, 1.0}});
  const Index sees_b = add_check(m, "sees b", 1, {{b, 1.0}});
  const Index vague = add_check(m, "vague", 1, {{b, 0.9}}, 0.2);
  m.call_cost = 1;
  const Likelihood likelihood(m);
  Posterior p(likelihood);
  const std::vector<Event> events{Answer{vague, 1}, Answer{sees_a, 0}, Answer{sees_b, 0}};
  REQUIRE(p.take(events[0]) == Taken::yes);
  REQUIRE(p.take(events[1]) == Taken::yes);
  const std::vector<double> before = p.marginals();
  CHECK(p.take(events[2]) == Taken::impossible);
  CHECK(p.marginals() == before);
  const Conflict conflict = find_conflict(likelihood, events);
  CHECK(conflict.events == std::vector<std::size_t>{1, 2});
  REQUIRE(conflict.doubts.size() == 2);
  CHECK(conflict.doubts.front().event == 2);  // the vague check speaks for b: the answer on b is the odd one out
  CHECK(find_conflict(likelihood, {events[0], events[1]}).events.empty());
}

TEST_CASE("a failed repair clears what it mends and nothing else") {
  Model m;
  m.faults = Faults::independent;
  const Index a = add_fault(m, "a", 0.2), b = add_fault(m, "b", 0.1);
  const Index swap = add_repair(m, "replace a", 1, {{a, 1.0}});
  m.call_cost = 1;
  const Likelihood likelihood(m);
  Posterior p(likelihood);
  REQUIRE(p.take(FailedRepair{swap}) == Taken::yes);
  CHECK(value(p, a) == 0.0);
  CHECK(value(p, b) == doctest::Approx(1.0));
}

TEST_CASE("a repair can be the odd one out, and every event that alone frees the rest is named") {
  Model m;
  m.faults = Faults::independent;
  const Index a = add_fault(m, "a", 0.1), b = add_fault(m, "b", 0.1);
  const Index look = add_check(m, "look at a", 1, {{a, 1.0}});
  const Index ra = add_repair(m, "ra", 5, {{a, 1.0}}), rb = add_repair(m, "rb", 5, {{b, 1.0}});
  m.symptoms.push_back({look, 1});
  const Likelihood likelihood(m);
  // Without the first repair a is still there, so that "good" is as impossible; without "good" nothing is left to mend.
  const std::vector<Event> events{FailedRepair{ra}, Answer{look, 0}, FailedRepair{rb}};
  const Conflict conflict = find_conflict(likelihood, events);
  CHECK(conflict.events == std::vector<std::size_t>{0, 2});
  REQUIRE(conflict.doubts.size() == 1);
  CHECK(conflict.doubts.front().event == 2);
  // Entries: the try after a repair that is taken back counts for the repair before it.
  const std::vector<Entry> entries{Done{ra}, Proof{5, Proof::Result::failed}, Saw{look, 0}, Done{rb},
                                   Proof{5, Proof::Result::failed}};
  const Conflict of_case = find_conflict(likelihood, entries);
  CHECK(of_case.events == std::vector<std::size_t>{0, 3});
  REQUIRE(of_case.doubts.size() == 1);
  CHECK(of_case.doubts.front().event == 3);
}

}  // namespace
