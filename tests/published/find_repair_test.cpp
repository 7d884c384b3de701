// Expected costs of repair, against the literature. Marks: READ, RECALL (from memory), BRUTE (recomputed by an
// independent exact script), OWN (made for this project).
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>
#include <random>

#include "find_testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

Model without_dependence(const std::vector<double>& p, const std::vector<double>& c) {
  Model m;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const std::string name = "cause " + std::to_string(i + 1);
    add_repair(m, "repair " + name, c[i], {{add_fault(m, name, p[i]), 1.0}});
  }
  return m;
}

double optimum(const Case& c) {
  const OptimumSearch::Bounds b = optimum_of(c);
  CHECK(b.closed());
  return b.upper;
}

// Jensen and Nielsen, "Bayesian Networks and Decision Graphs", exercise of chapter 9: problem READ (second-hand),
// solution BRUTE. A failed action may be tried once; the others mend what they mend whatever failed before.
TEST_CASE("four actions on a computer") {
  Model m;
  const Index program = add_fault(m, "program", 0.80), virus = add_fault(m, "virus", 0.15),
              hardware = add_fault(m, "hardware", 0.05);
  add_repair(m, "restart", 1, {{program, 1.0}});
  add_repair(m, "remove viruses", 2, {{virus, 0.95}});
  add_repair(m, "install afresh", 25, {{program, 0.99}, {virus, 0.99}});
  add_repair(m, "replace", 500, {{program, 1.0}, {virus, 1.0}, {hardware, 1.0}});
  const Case c(m);
  REQUIRE(problems(m).empty());
  CHECK(cost_of_repairs(c, {1, 2, 3, 4}) == doctest::Approx(223.0 / 8).epsilon(1e-12));
  CHECK(cost_of_repairs(c, {2, 1, 3, 4}) == doctest::Approx(29.3325).epsilon(1e-9));
  CHECK(cost_of_repairs(c, {1, 2, 4}) == doctest::Approx(30.15).epsilon(1e-9));
  CHECK(cost_of_repairs(c, {1, 3, 2, 4}) == doctest::Approx(31.1405).epsilon(1e-9));
  CHECK(cost_of_repairs(c, {2, 1, 4}) == doctest::Approx(31.6075).epsilon(1e-9));
  CHECK(cost_of_repairs(c, {1, 3, 4}) == doctest::Approx(31.75).epsilon(1e-9));
  CHECK(optimum(c) == doctest::Approx(27.875).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::best) == doctest::Approx(27.875).epsilon(1e-12));
}

// OWN; the rule is that of Heckerman, Breese and Rommelse 1995 (RECALL), from Kadane and Simon 1977 (abstract READ).
TEST_CASE("independent single faults: by chance over cost") {
  const Case c(without_dependence({.45, .30, .15, .10}, {10, 3, 1, 5}));
  CHECK(cost_of_repairs(c, {3, 2, 1, 4}) == doctest::Approx(9.55).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::chance_over_cost) == doctest::Approx(9.55).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::likeliest_first) == doctest::Approx(12.40).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::cheapest_first) == doctest::Approx(10.80).epsilon(1e-12));
  std::vector<Index> order{1, 2, 3, 4};
  double worst = 0;
  double least = 1e9;
  do {
    worst = std::max(worst, cost_of_repairs(c, order));
    least = std::min(least, cost_of_repairs(c, order));
  } while (std::next_permutation(order.begin(), order.end()));
  CHECK(worst == doctest::Approx(15.50).epsilon(1e-12));
  CHECK(least == doctest::Approx(9.55).epsilon(1e-12));
  CHECK(optimum(c) == doctest::Approx(9.55).epsilon(1e-12));
}

// OWN: the same rule on drawn instances of two to six causes, against every order.
TEST_CASE("chance over cost is optimal on 2,000 random instances") {
  std::mt19937 draw(20);
  const auto in = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(draw()) / 4294967296.0);
  };
  int violations = 0;
  for (int instance = 0; instance < 2000; ++instance) {
    const std::size_t n = 2 + draw() % 5;
    std::vector<double> p, cost;
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) {
      p.push_back(in(0.05, 1));
      cost.push_back(in(0.5, 20));
      sum += p.back();
    }
    for (double& one : p) one /= sum;
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    double least = 1e300;
    do {
      double expected = 0, left = 1;
      for (const std::size_t i : order) {
        expected += cost[i] * left;
        left -= p[i];
      }
      least = std::min(least, expected);
    } while (std::next_permutation(order.begin(), order.end()));
    const Case c(without_dependence(p, cost));
    if (std::abs(cost_of(c, StrategyKind::chance_over_cost) - least) > 1e-9 * least) ++violations;
  }
  CHECK(violations == 0);
}

// OWN: dependent actions, where recomputing chance over cost after each step is not optimal.
TEST_CASE("actions that mend several causes") {
  Model m;
  const Index f1 = add_fault(m, "f1", .20), f2 = add_fault(m, "f2", .25), f3 = add_fault(m, "f3", .40),
              f4 = add_fault(m, "f4", .15);
  add_repair(m, "A", 2, {{f1, 1.0}, {f2, 1.0}});
  add_repair(m, "B", 2, {{f3, 1.0}, {f4, 1.0}});
  add_repair(m, "C", 3, {{f1, 1.0}, {f2, 1.0}, {f3, 1.0}});
  const Case c(m);
  CHECK(cost_of(c, StrategyKind::chance_over_cost) == doctest::Approx(3.30).epsilon(1e-12));
  CHECK(cost_of_repairs(c, {2, 1}) == doctest::Approx(2.90).epsilon(1e-12));
  CHECK(optimum(c) == doctest::Approx(2.90).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::rollout) == doctest::Approx(2.90).epsilon(1e-12));
}

// OWN: places that are opened once; the model is Ottosen and Jensen's (2010, abstract READ).
TEST_CASE("parts behind covers") {
  Model m = without_dependence({.14, .20, .10, .15, .20, .21}, {1, 2, 1, 1, 1, 3});
  m.places.push_back({"K", {}, 5, 0, Place::AtCheck::may_stay_open, {}});
  m.places.push_back({"L", {}, 8, 0, Place::AtCheck::may_stay_open, {}});
  m.repairs[2].place = m.repairs[3].place = 0;
  m.repairs[4].place = m.repairs[5].place = 1;
  const Case c(m);
  CHECK(cost_of_repairs(c, {1, 2, 4, 3, 5, 6}) == doctest::Approx(11.51).epsilon(1e-12));
  CHECK(cost_of_repairs(c, {5, 4, 1, 2, 3, 6}) == doctest::Approx(16.41).epsilon(1e-12));
  CHECK(optimum(c) == doctest::Approx(11.51).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::rollout) == doctest::Approx(11.51).epsilon(1e-12));
  std::vector<Index> order{1, 2, 3, 4, 5, 6};
  double worst = 0;
  double least = 1e9;
  do {
    worst = std::max(worst, cost_of_repairs(c, order));
    least = std::min(least, cost_of_repairs(c, order));
  } while (std::next_permutation(order.begin(), order.end()));
  CHECK(worst == doctest::Approx(18.32).epsilon(1e-12));
  CHECK(least == doctest::Approx(11.51).epsilon(1e-12));
}

// The observe-then-repair pair of Heckerman, Breese and Rommelse 1995 (RECALL): C_obs + p C_rep, p at the time of
// looking. OWN figures: p = .5, .3, .2; looking costs 1 each, repairs cost 6, 4, 10, and are only made when seen bad.
// What the repairs cost is the same in every order, .5·6 + .3·4 + .2·10; the looks are then in the order of p / C_obs.
TEST_CASE("look, then repair") {
  Model m = without_dependence({.5, .3, .2}, {6, 4, 10});
  for (Index i = 0; i < 3; ++i) {
    const Index look = add_check(m, "look at " + std::to_string(i), 1, {{i, 1.0}});
    m.repairs[i].needs.push_back({look, 1});
  }
  m.call_cost = 1000;
  const Case c(m);
  const double pairs = (1 + .5 * 6) + (.5 + .3 * 4) + (.2 + .2 * 10);
  CHECK(optimum(c) == doctest::Approx(pairs).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::rollout) == doctest::Approx(pairs).epsilon(1e-12));
}

// The call ends the case and is taken where it is cheaper: OWN, p/C as above. After 3, 2 the rest costs 10 + .1/.55
// · 5.
TEST_CASE("the call for help cuts the sequence") {
  Model m = without_dependence({.45, .30, .15, .10}, {10, 3, 1, 5});
  m.call_cost = 6;
  const Case c(m);
  // Repair 3, then 2, then call: 1 + .85 · 3 + .55 · 6 = 6.85; calling at once costs 6.
  CHECK(optimum(c) == doctest::Approx(6.0).epsilon(1e-12));
  CHECK(cost_of(c, StrategyKind::chance_over_cost) == doctest::Approx(6.0).epsilon(1e-12));
  m.call_cost = 9;
  CHECK(optimum(Case(m)) == doctest::Approx(1 + .85 * 3 + .55 * 9).epsilon(1e-12));
}

}  // namespace
