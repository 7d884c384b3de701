// Exact inference against published networks. Marks as in find_repair_test.cpp. A network becomes a list of the states
// of its hidden variables with their probability.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "find/conflict.h"
#include "find_testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

// Every subset of `n` modes with the weight that `chance` gives it.
template <class Chance>
void list_states(Model& m, Index n, Chance chance) {
  m.faults = Faults::listed;
  m.goal = Goal::identify;
  for (unsigned bits = 0; bits < (1U << n); ++bits) {
    FaultSet faults;
    for (Index i = 0; i < n; ++i) {
      if ((bits >> i & 1U) != 0) faults.add(i);
    }
    const double weight = chance(faults);
    if (weight > 0) m.states.push_back({faults, weight, {}});
  }
}

// Fills the joint table of an observation over its modes from P(outcome 1 | visible modes).
template <class Chance>
Index add_table(Model& m, const std::string& name, const std::vector<Index>& modes, Chance chance) {
  std::vector<ShownBy> single;
  for (const Index i : modes) single.push_back({i, chance(FaultSet{i})});
  const Index o = add_check(m, name, 1, single, chance(FaultSet{}));
  for (unsigned bits = 0; bits < (1U << modes.size()); ++bits) {
    FaultSet faults;
    for (std::size_t i = 0; i < modes.size(); ++i) {
      if ((bits >> i & 1U) != 0) faults.add(modes[i]);
    }
    if (faults.size() > 1) m.observations[o].joint.push_back({faults, {1 - chance(faults), chance(faults)}});
  }
  return o;
}

void check_marginals(const Posterior& p, const std::vector<std::pair<Index, double>>& expected) {
  const std::vector<double> got = p.marginals();
  for (const auto& marginal : expected) {
    CAPTURE(marginal.first);
    CHECK(std::abs(got[marginal.first] - marginal.second) < 1.1e-6);
  }
}

// Lauritzen and Spiegelhalter 1988: tables READ (in another package's manual), results BRUTE and, for three of them,
// from an independent junction tree.
TEST_CASE("chest clinic") {
  Model m;
  for (const char* name : {"asia", "tuberculosis", "smoking", "cancer", "bronchitis"}) add_fault(m, name, 0.1);
  constexpr Index asia = 0, tub = 1, smoke = 2, lung = 3, bronc = 4;
  const auto p = [](const FaultSet& s, Index mode, double chance) { return s.contains(mode) ? chance : 1 - chance; };
  list_states(m, 5, [&](const FaultSet& s) {
    return p(s, asia, .01) * p(s, tub, s.contains(asia) ? .05 : .01) * p(s, smoke, .5) *
           p(s, lung, s.contains(smoke) ? .1 : .01) * p(s, bronc, s.contains(smoke) ? .6 : .3);
  });
  const auto either = [](const FaultSet& s) { return s.contains(tub) || s.contains(lung); };
  const Index a = add_table(m, "visit", {asia}, [&](const FaultSet& s) { return s.contains(asia) ? 1.0 : 0.0; });
  const Index s = add_table(m, "smokes", {smoke}, [&](const FaultSet& f) { return f.contains(smoke) ? 1.0 : 0.0; });
  const Index x = add_table(m, "x-ray", {tub, lung}, [&](const FaultSet& f) { return either(f) ? .98 : .05; });
  const Index d = add_table(m, "dyspnoea", {tub, lung, bronc}, [&](const FaultSet& f) {
    return f.contains(bronc) ? (either(f) ? .9 : .8) : (either(f) ? .7 : .1);
  });
  const Index e = add_table(m, "either", {tub, lung}, [&](const FaultSet& f) { return either(f) ? 1.0 : 0.0; });
  REQUIRE(problems(m).empty());
  const Likelihood likelihood(m);
  const Posterior prior(likelihood);
  check_marginals(prior, {{tub, .0104}, {lung, .055}, {bronc, .45}});
  CHECK(prior.predict(e)[1] == doctest::Approx(.064828).epsilon(1e-9));
  CHECK(prior.predict(x)[1] == doctest::Approx(.11029).epsilon(1e-5));
  CHECK(prior.predict(d)[1] == doctest::Approx(.435971).epsilon(1e-5));
  struct Row {
    std::vector<Answer> answers;
    double tub, lung, bronc;
  };
  for (const Row& row :
       {Row{{{d, 1}}, .018845, .102759, .833967}, Row{{{x, 1}}, .092411, .488711, .506326},
        Row{{{a, 1}, {d, 1}}, .087751, .099525, .811402}, Row{{{a, 1}, {x, 1}, {d, 1}}, .391712, .444271, .628822},
        Row{{{a, 1}, {x, 0}, {d, 1}}, .002249, .002550, .862761},
        Row{{{s, 0}, {x, 1}, {d, 1}}, .255625, .245793, .565205}}) {
    Posterior posterior(likelihood);
    for (const Answer& answer : row.answers) REQUIRE(posterior.take(answer) == Taken::yes);
    check_marginals(posterior, {{tub, row.tub}, {lung, row.lung}, {bronc, row.bronc}});
  }
}

// Russell and Norvig, RECALL; results BRUTE.
TEST_CASE("burglary and sprinkler") {
  Model m;
  for (const char* name : {"burglary", "earthquake", "alarm"}) add_fault(m, name, 0.1);
  list_states(m, 3, [](const FaultSet& s) {
    const bool b = s.contains(0), e = s.contains(1);
    const double alarm = b ? (e ? .95 : .94) : (e ? .29 : .001);
    return (b ? .001 : .999) * (e ? .002 : .998) * (s.contains(2) ? alarm : 1 - alarm);
  });
  const Index john = add_check(m, "John calls", 1, {{2, .9}}, .05);
  const Index mary = add_check(m, "Mary calls", 1, {{2, .7}}, .01);
  const Likelihood likelihood(m);
  Posterior p(likelihood);
  REQUIRE(p.take(Answer{john, 1}) == Taken::yes);
  REQUIRE(p.take(Answer{mary, 1}) == Taken::yes);
  check_marginals(p, {{0, .284172}, {1, .176067}});
  CHECK(std::exp(p.log_evidence()) == doctest::Approx(.0020841).epsilon(1e-4));

  Model w;
  for (const char* name : {"cloudy", "sprinkler", "rain"}) add_fault(w, name, 0.1);
  list_states(w, 3, [](const FaultSet& s) {
    const double sprinkler = s.contains(0) ? .1 : .5, rain = s.contains(0) ? .8 : .2;
    return .5 * (s.contains(1) ? sprinkler : 1 - sprinkler) * (s.contains(2) ? rain : 1 - rain);
  });
  const Index wet = add_table(w, "wet", {1, 2}, [](const FaultSet& s) {
    return s.contains(1) ? (s.contains(2) ? .99 : .9) : (s.contains(2) ? .9 : 0.0);
  });
  const Index rain = add_check(w, "rains", 1, {{2, 1.0}});
  const Likelihood of_grass(w);
  Posterior grass(of_grass);
  CHECK(grass.predict(wet)[1] == doctest::Approx(.6471).epsilon(1e-9));
  REQUIRE(grass.take(Answer{wet, 1}) == Taken::yes);
  check_marginals(grass, {{1, .429764}, {2, .707928}});
  REQUIRE(grass.take(Answer{rain, 1}) == Taken::yes);
  check_marginals(grass, {{1, .194499}});
}

// The three multipliers and two adders of Davis, and de Kleer and Williams 1987: RECALL, BRUTE.
namespace polybox {

constexpr Index m1 = 0, m2 = 1, m3 = 2, a1 = 3, a2 = 4;
struct Probed {
  std::optional<double> x, y, z;
};

// Whether some output of the faulty parts explains f = 10, g = 12 and what was probed.
bool possible(const FaultSet& faulty, const Probed& probed) {
  for (const double x : {4.0, 6.0, 8.0, 5.5}) {
    for (const double y : {4.0, 6.0, 8.0, 5.5}) {
      for (const double z : {4.0, 6.0, 8.0, 5.5}) {
        const bool parts = (faulty.contains(m1) || x == 6) && (faulty.contains(m2) || y == 6) &&
                           (faulty.contains(m3) || z == 6) && (faulty.contains(a1) || x + y == 10) &&
                           (faulty.contains(a2) || y + z == 12);
        const bool seen =
            (!probed.x || x == *probed.x) && (!probed.y || y == *probed.y) && (!probed.z || z == *probed.z);
        if (parts && seen) return true;
      }
    }
  }
  return false;
}

struct Diagnoses {
  std::size_t consistent = 0;
  std::vector<FaultSet> minimal;
};

Posterior after(const Likelihood& likelihood) {
  Posterior p(likelihood);
  REQUIRE(p.take(Answer{0, 1}) == Taken::yes);
  return p;
}

Model model(const Probed& probed) {
  Model m;
  for (const char* name : {"M1", "M2", "M3", "A1", "A2"}) add_fault(m, name, .01);
  list_states(m, 5, [](const FaultSet& s) {
    return std::pow(.01, static_cast<double>(s.size())) * std::pow(.99, 5.0 - static_cast<double>(s.size()));
  });
  add_table(m, "what was read", {0, 1, 2, 3, 4}, [&](const FaultSet& s) { return possible(s, probed) ? 1.0 : 0.0; });
  return m;
}

Diagnoses diagnoses(const Probed& probed) {
  const Model m = model(probed);
  const Likelihood likelihood(m);
  Diagnoses out;
  const std::vector<State> states = after(likelihood).likeliest(32);
  out.consistent = states.size();
  const auto part_of = [](const FaultSet& a, const FaultSet& b) {
    return a != b && std::all_of(a.begin(), a.end(), [&](Index i) { return b.contains(i); });
  };
  for (const State& s : states) {
    const bool smaller =
        std::any_of(states.begin(), states.end(), [&](const State& o) { return part_of(o.faults, s.faults); });
    if (!smaller) out.minimal.push_back(s.faults);
  }
  std::sort(out.minimal.begin(), out.minimal.end());
  return out;
}

using Sets = std::vector<FaultSet>;
Sets sorted(Sets sets) {
  std::sort(sets.begin(), sets.end());
  return sets;
}

}  // namespace polybox

TEST_CASE("polybox: diagnoses") {
  using namespace polybox;
  CHECK(diagnoses({}).consistent == 27);
  CHECK(diagnoses({}).minimal == sorted({{m1}, {a1}, {m2, m3}, {m2, a2}}));
  CHECK(diagnoses({4, {}, {}}).consistent == 16);
  CHECK(diagnoses({4, {}, {}}).minimal == Sets{{m1}});
  CHECK(diagnoses({6, {}, {}}).consistent == 22);
  CHECK(diagnoses({6, {}, {}}).minimal == sorted({{a1}, {m2, m3}, {m2, a2}}));
  CHECK(diagnoses({{}, 6, {}}).minimal == sorted({{m1}, {a1}}));
  CHECK(diagnoses({{}, 4, {}}).minimal == sorted({{m2, m3}, {m2, a2}}));
  CHECK(diagnoses({{}, {}, 6}).minimal == sorted({{m1}, {a1}, {m2, a2}}));
  CHECK(diagnoses({{}, {}, 8}).minimal == sorted({{m2, m3}, {m1, m3, a2}, {m3, a1, a2}}));
}

// A conflict is a set of parts that cannot all be whole. Which minimal one is found depends on the order of the
// answers.
TEST_CASE("polybox: the minimal conflicts") {
  using namespace polybox;
  Model m = model({});
  for (const Index part : {m1, m2, m3, a1, a2}) add_check(m, "look at " + m.parts[part].name, 1, {{part, 1.0}});
  const Likelihood likelihood(m);
  std::vector<Index> order{m1, m2, m3, a1, a2};
  Sets conflicts;
  do {
    std::vector<Event> events{Answer{0, 1}};
    for (const Index part : order) events.push_back(Answer{part + 1, 0});
    FaultSet conflict;
    for (const std::size_t event : find_conflict(likelihood, events).events) {
      if (event > 0) conflict.add(order[event - 1]);
    }
    if (std::find(conflicts.begin(), conflicts.end(), conflict) == conflicts.end()) conflicts.push_back(conflict);
  } while (std::next_permutation(order.begin(), order.end()));
  CHECK(sorted(conflicts) == sorted({{m1, m2, a1}, {m1, m3, a1, a2}}));
}

TEST_CASE("polybox: posteriors") {
  using namespace polybox;
  const Model m = model({});
  const Likelihood likelihood(m);
  const Posterior p = after(likelihood);
  check_marginals(p, {{m1, .497635}, {a1, .497635}, {m2, .019609}, {m3, .014780}, {a2, .014780}});
  const std::vector<State> states = p.likeliest(4);
  CHECK(states[0].weight == doctest::Approx(.478026).epsilon(1e-5));
  CHECK(states[1].weight == doctest::Approx(.478026).epsilon(1e-5));
  CHECK(states[2].weight == doctest::Approx(.004829).epsilon(1e-3));
}

TEST_CASE("polybox: which place to probe") {
  // The four leading candidates alone, in bits.
  Model m;
  m.faults = Faults::listed;
  m.goal = Goal::identify;
  for (const char* name : {"M1", "M2", "M3", "A1", "A2"}) add_fault(m, name, .01);
  using namespace polybox;
  m.states = {{{m1}, .495, {}}, {{a1}, .495, {}}, {{m2, m3}, .005, {}}, {{m2, a2}, .005, {}}};
  const Index x = add_table(m, "x", {m1}, [](const FaultSet& s) { return s.contains(m1) ? 1.0 : 0.0; });
  const Index y = add_table(m, "y", {m2}, [](const FaultSet& s) { return s.contains(m2) ? 1.0 : 0.0; });
  const Index z = add_table(m, "z", {m3}, [](const FaultSet& s) { return s.contains(m3) ? 1.0 : 0.0; });
  const Case c(m);
  const double bits = 1 / std::log(2.0);
  double entropy = 0;
  for (const State& s : c.posterior.likeliest(4)) entropy -= s.weight * std::log2(s.weight);
  CHECK(entropy == doctest::Approx(1.080793).epsilon(1e-6));
  CHECK(entropy - c.posterior.information(x) * bits == doctest::Approx(.080865).epsilon(1e-4));
  CHECK(entropy - c.posterior.information(y) * bits == doctest::Approx(1.0).epsilon(1e-5));
  CHECK(entropy - c.posterior.information(z) * bits == doctest::Approx(1.035378).epsilon(1e-5));
  CHECK(make_strategy(StrategyKind::information)->choose(c.space, c.space.start()) == Step{Step::Kind::observe, x});
}

}  // namespace
