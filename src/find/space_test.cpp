// What is allowed in a situation, what it costs and what may come of it, on models small enough to reckon by hand.
#include "find/space.h"

#include <doctest/doctest.h>

#include "find/interview.h"
#include "find/optimum.h"
#include "find/policy.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

TEST_CASE("to identify, repairs play no part, though they stand in the model") {
  Model m;
  m.goal = Goal::identify;
  m.faults = Faults::independent;
  const Index a = add_fault(m, "a", 0.1), b = add_fault(m, "b", 0.1);
  const Index sees_a = add_check(m, "lamp a", 1, {{a, 1.0}}), sees_b = add_check(m, "lamp b", 1, {{b, 1.0}});
  add_repair(m, "new a", 1, {{a, 1.0}});
  Interview interview(m);
  interview.add(Saw{sees_a, 1});  // what the repair would leave of both is not among what is left
  const View view = interview.view();
  REQUIRE(view.next);
  CHECK(view.next->step == Step{Step::Kind::observe, sees_b});
  CHECK(view.next->alternatives.size() == 1);
}

TEST_CASE("what was complained of meets the needs of other steps") {
  Model m;
  const Index a = add_fault(m, "a", 1), b = add_fault(m, "b", 1);
  const Index on = add_check(m, "switch it on", 1, {{a, 1.0}, {b, 1.0}});
  const Index ohms = add_check(m, "ohms", 1, {{a, 1.0}});
  m.places.push_back({"cover", {}, 10, 0, Place::AtCheck::may_stay_open, {}});
  m.observations[on].place = 0;
  m.observations[ohms].needs.push_back({on, 1});
  add_repair(m, "ra", 100, {{a, 1.0}});
  add_repair(m, "rb", 100, {{b, 1.0}});
  m.call_cost = 1000;
  m.symptoms.push_back({on, 1});
  const Case c(m);
  CHECK(!c.space.start().open[0]);  // nothing was opened for it
  CHECK(expected_cost(c.space, *make_strategy(StrategyKind::best)).cost == doctest::Approx(101));
}

}  // namespace
