#include "find/learning.h"

#include <doctest/doctest.h>

#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;
using namespace ringout::find::testing;

// OWN, exact by the beta rule: mean .02, strength 10, 3 of 25 -> 3.2 / 35.
TEST_CASE("a prior after 25 cases") {
  Model m;
  m.faults = Faults::independent;
  const Index open = add_fault(m, "wire", 0.02);
  add_fault(m, "motor", 0.02);
  m.call_cost = 1;
  History history;
  for (int i = 0; i < 25; ++i) record(history, m, {i < 3 ? FaultSet{open} : FaultSet{}, {}});
  const Model after = learned(m, history, {.priors = 10});
  CHECK(after.modes[open].prior == doctest::Approx(3.2 / 35).epsilon(1e-12));
  CHECK(after.modes[open].prior == doctest::Approx(.0914286).epsilon(1e-6));
}

// OWN, exact: Dirichlet(1,1,1,1) + (7,2,0,1) -> .571429 .214286 .071429 .142857.
TEST_CASE("which of four faults, and how a check answers") {
  Model m;
  std::vector<Index> modes;
  for (int i = 0; i < 4; ++i) modes.push_back(add_fault(m, "fault " + std::to_string(i), 0.25));
  const Index check = add_check(m, "check", 1, {{modes[0], 0.75}}, 0.5);
  m.call_cost = 1;
  History history;
  const std::vector<int> counts{7, 2, 0, 1};
  for (std::size_t i = 0; i < 4; ++i) {
    for (int n = 0; n < counts[i]; ++n) record(history, m, {{modes[i]}, {{check, n == 0 ? 0U : 1U}}});
  }
  const Model after = learned(m, history, {.priors = 4, .answers = 4});
  const std::vector<double> expected{.571429, .214286, .071429, .142857};
  for (std::size_t i = 0; i < 4; ++i) CHECK(after.modes[i].prior == doctest::Approx(expected[i]).epsilon(1e-5));
  // With fault 0, six of seven answers were bad: (.75 · 4 + 6) / 11. With others two of three were good: (.5 · 4 + 1)
  // / 7.
  CHECK(after.observations[check].effects[0].chance[1] == doctest::Approx(9.0 / 11).epsilon(1e-12));
  CHECK(after.observations[check].healthy[1] == doctest::Approx(3.0 / 7).epsilon(1e-12));
  CHECK(problems(after).empty());
}

TEST_CASE("a history that finds a part's faults more often than there were cases leaves a model without a problem") {
  Model m;
  m.faults = Faults::independent;
  m.parts.push_back({"a", {}});
  m.modes.push_back({"x", 0, 0.1, {}});
  m.modes.push_back({"z", 0, 0.1, {}});
  m.call_cost = 1;
  REQUIRE(problems(m).empty());
  Diagnostics found;
  const History h = read_history({"h", "ringout fault history 1\ncases\t25\nfault\t10\ta.x\nfault\t25\ta.z\n"}, found);
  CHECK(found.all().empty());
  const Model after = learned(m, h);
  CHECK(problems(after).empty());
  CHECK(after.modes[0].prior == doctest::Approx((2 + 10 * 25.0 / 35) / 45));
  CHECK(after.modes[1].prior == doctest::Approx((2 + 25 * 25.0 / 35) / 45));
}

TEST_CASE("histories are written, read back and merged by adding") {
  Model m;
  const Index a = add_fault(m, "a", 0.5);
  const Index check = add_check(m, "look\tat it", 1, {{a, 1.0}});
  m.call_cost = 1;
  History one, two;
  record(one, m, {{a}, {{check, 1}}});
  record(two, m, {{a}, {{check, 1}, {check, 0}}});
  merge(one, two);
  const std::string text = write_history(one);
  CHECK(text ==
        "ringout fault history 1\ncases\t2\nfault\t2\ta\nanswer\t2\tlook at it\ta\tbad\nanswer\t1\tlook at "
        "it\ta\tgood\n");
  Diagnostics found;
  CHECK(write_history(read_history({"history", text}, found)) == text);
  CHECK(found.all().empty());
  CHECK(learned(m, one).observations[check].effects[0].chance[1] == doctest::Approx((20.0 + 2) / 23));
}

TEST_CASE("a fault that is found more often than there were cases is named, with its line") {
  Diagnostics found;
  CHECK(read_history({"h", "ringout fault history 1\nfault\t3\tb\nfault\t99\ta\ncases\t3\n"}, found).cases == 3);
  REQUIRE(found.all().size() == 1);
  CHECK(found.all().front().span.line == 3);
  CHECK(found.all().front().message == "a is found 99 times in 3 cases");
}

TEST_CASE("a damaged history is read as far as it goes, and each bad line is named") {
  Diagnostics found;
  const History h = read_history(
      {"history", "ringout fault history 1\ncases\t4\nfault\tmany\ta\nfault\t-1\ta\nfault\t2\ta\nansw"}, found);
  CHECK(h.cases == 4);
  CHECK(h.faults.at("a") == 2);
  REQUIRE(found.all().size() == 3);
  CHECK(found.all()[0].span.line == 3);
  CHECK(found.all()[2].span.line == 6);
  Diagnostics other;
  CHECK(read_history({"history", "something else\n"}, other).cases == 0);
  CHECK(other.all().front().id == "history.not-one");
}

}  // namespace
