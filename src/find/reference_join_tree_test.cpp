// Exact inference against dlib's Bayesian network join tree, an independent general-purpose package (Debian
// libdlib-dev).
#include <dlib/bayes_utils.h>
#include <dlib/directed_graph.h>
#include <dlib/graph.h>
#include <dlib/graph_utils.h>
#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

constexpr unsigned long faults = 4;
constexpr unsigned long checks = 5;

Model random_model(std::uint32_t seed) {
  std::mt19937 engine(seed);
  const auto draw = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(engine()) / 4294967296.0);
  };
  Model m;
  m.faults = Faults::independent;
  m.goal = Goal::identify;
  m.max_faults = 4;  // all of them: nothing is left out
  for (Index i = 0; i < faults; ++i) add_fault(m, "fault " + std::to_string(i), draw(0.02, 0.4));
  for (Index o = 0; o < checks; ++o) {
    std::vector<ShownBy> shown;
    for (Index i = 0; i < faults; ++i) {
      // The last sees all, so that the network hangs together, which the join tree asks for.
      if (draw(0, 1) < 0.6 || o + 1 == checks || i == o % faults) shown.push_back({i, draw(0.3, 1.0)});
    }
    const Index at = add_check(m, "check " + std::to_string(o), 1, shown, draw(0.0, 0.2));
    m.observations[at].combination = static_cast<Combination>(o % 3);
  }
  return m;
}

// P(bad | set), by the words of model.h.
double bad(const Observation& o, unsigned set) {
  double good = 1;
  bool any = false;
  for (const Effect& e : o.effects) {
    if ((set >> e.mode & 1U) == 0) continue;
    if (o.combination == Combination::first) return e.chance[1];
    any = true;
    good *= e.chance[0];
  }
  if (!any) return o.healthy[1];
  return 1 - good * (o.combination == Combination::noisy ? o.healthy[0] : 1.0);
}

using Network = dlib::directed_graph<dlib::bayes_node>::kernel_1a_c;

void build(Network& net, const Model& m) {
  using namespace dlib::bayes_node_utils;
  net.set_number_of_nodes(faults + checks);
  for (unsigned long o = 0; o < checks; ++o) {
    for (const Effect& e : m.observations[o].effects) net.add_edge(e.mode, faults + o);
  }
  for (unsigned long n = 0; n < faults + checks; ++n) set_node_num_values(net, n, 2);
  for (unsigned long i = 0; i < faults; ++i) {
    const dlib::assignment none;
    set_node_probability(net, i, 1, none, m.modes[i].prior);
    set_node_probability(net, i, 0, none, 1 - m.modes[i].prior);
  }
  for (unsigned long o = 0; o < checks; ++o) {
    for (unsigned set = 0; set < (1U << faults); ++set) {
      dlib::assignment parents;
      bool own = true;  // each combination of the parents once: other faults absent
      for (unsigned long i = 0; i < faults; ++i) {
        const bool there = (set >> i & 1U) != 0;
        if (net.has_edge(i, faults + o)) {
          parents.add(i, there ? 1 : 0);
        } else {
          own = own && !there;
        }
      }
      if (!own) continue;
      set_node_probability(net, faults + o, 1, parents, bad(m.observations[o], set));
      set_node_probability(net, faults + o, 0, parents, 1 - bad(m.observations[o], set));
    }
  }
}

TEST_CASE("posteriors agree with a join tree") {
  using namespace dlib::bayes_node_utils;
  for (std::uint32_t seed = 1; seed <= 60; ++seed) {
    CAPTURE(seed);
    const Model m = random_model(seed);
    REQUIRE(problems(m).empty());
    const Likelihood likelihood(m);
    Network net;
    build(net, m);
    Posterior p(likelihood);
    for (Index o = 0; o + 1 < checks; ++o) {
      const Index outcome = (seed >> o) & 1U;
      REQUIRE(p.take(Answer{o, outcome}) == Taken::yes);
      set_node_value(net, faults + o, outcome);
      set_node_as_evidence(net, faults + o);
    }
    dlib::graph<dlib::set<unsigned long>::compare_1b_c, dlib::set<unsigned long>::compare_1b_c>::kernel_1a_c tree;
    dlib::create_moral_graph(net, tree);
    dlib::graph<dlib::set<unsigned long>::compare_1b_c, dlib::set<unsigned long>::compare_1b_c>::kernel_1a_c joined;
    dlib::create_join_tree(tree, joined);
    dlib::bayesian_network_join_tree solution(net, joined);
    for (Index i = 0; i < faults; ++i) CHECK(std::abs(p.marginals()[i] - solution.probability(i)(1)) < 1e-9);
    CHECK(std::abs(p.predict(checks - 1)[1] - solution.probability(faults + checks - 1)(1)) < 1e-9);
  }
}

}  // namespace
