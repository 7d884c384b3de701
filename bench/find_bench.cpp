// How good and how fast fault finding is: each strategy's expected cost against the optimum on random cases, and the
// time of the next check on large machines. Prints a table; exit status 1 where a requirement is missed.
#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <ctime>

#include "find/find.h"
#include "find/robot/followed.h"
#include "find/robot/testing.h"
#include "find/testing.h"
#include "robot/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

double now() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}  // processor time of this process

struct Ratios {
  double sum = 0;
  double worst = 0;
  std::uint32_t worst_seed = 0;
  int count = 0;
  double seconds = 0;
  void add(double ratio, std::uint32_t seed) {
    sum += ratio;
    ++count;
    if (ratio > worst) worst = ratio, worst_seed = seed;
  }
};

struct Row {
  const char* label;
  StrategyKind kind;
  int depth;
  Ratios ratios;
};

std::vector<Row> strategies() {
  return {{"fixed-order", StrategyKind::fixed_order, 1, {}},
          {"cheapest-first", StrategyKind::cheapest_first, 1, {}},
          {"likeliest-first", StrategyKind::likeliest_first, 1, {}},
          {"chance-over-cost", StrategyKind::chance_over_cost, 1, {}},
          {"repair-look-ahead", StrategyKind::repair_look_ahead, 1, {}},
          {"information", StrategyKind::information, 1, {}},
          {"look-ahead 1", StrategyKind::look_ahead, 1, {}},
          {"look-ahead 2", StrategyKind::look_ahead, 2, {}},
          {"rollout", StrategyKind::rollout, 1, {}},
          {"best", StrategyKind::best, 2, {}}};
}

// The heuristic that takes over where the search is too dear: at most 1.03 times the optimum on average, 1.15 at worst.
constexpr double mean_allowed = 1.03;
constexpr double worst_allowed = 1.15;

// Ratios to the optimum, of cases whose search took more than `harder_than` situations; cases that the search cannot
// close within `nodes` are left out and counted.
bool compare(RandomSize size, std::uint32_t cases, std::size_t nodes, std::size_t harder_than = 0) {
  std::vector<Row> rows = strategies();
  int open = 0;
  double searching = 0;
  std::size_t situations = 0;
  for (std::uint32_t seed = 1; seed <= cases; ++seed) {
    const Case c(random_case(seed, size));
    OptimumSearch search(c.space, {});
    const double start = now();
    const OptimumSearch::Bounds best = search.solve(c.space.start(), nodes);
    searching += now() - start;
    situations += search.nodes();
    if (!best.closed()) ++open;
    if (!best.closed() || search.nodes() <= harder_than) continue;
    for (Row& row : rows) {
      Effort effort;
      effort.depth = row.depth;
      const double begin = now();
      const std::unique_ptr<Strategy> strategy = make_strategy(row.kind, effort);
      row.ratios.add(expected_cost(c.space, *strategy).cost / best.upper, seed);
      row.ratios.seconds += now() - begin;
    }
  }
  fmt::print(
      "{} random cases of {} faults, {} checks, {} repairs: {} not closed within {} situations; the optimum took "
      "{:.2f} ms and {} situations on average\n",
      cases, size.faults, size.checks, size.repairs, open, nodes, 1e3 * searching / cases, situations / cases);
  fmt::print("  compared on the {} that took more than {}\n", rows.front().ratios.count, harder_than);
  for (const Row& row : rows) {
    if (row.ratios.count == 0) continue;
    fmt::print("  {:18} mean {:.4f}  worst {:.4f} (case {})  {:.2f} ms a tree\n", row.label,
               row.ratios.sum / row.ratios.count, row.ratios.worst, row.ratios.worst_seed,
               1e3 * row.ratios.seconds / row.ratios.count);
  }
  const Ratios& heuristic = rows[7].ratios;  // look-ahead 2
  return heuristic.sum <= mean_allowed * heuristic.count && heuristic.worst <= worst_allowed;
}

struct Draw {
  std::uint64_t state;
  double operator()() {  // splitmix64, so that every machine draws the same cases
    std::uint64_t z = (state += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return static_cast<double>((z ^ (z >> 31U)) >> 11U) / 9007199254740992.0;
  }
};

struct Followed {
  double cost = 0;
  double slowest = 0;  // seconds of one next check, updates among them
  double total = 0;
  int steps = 0;
  int wrong = 0;  // contradictions, or a call for help
  double most_left_out = 0;
};

// Follows the engine on one large machine with a drawn true fault, from the symptom to the repair; every step anew from
// the posterior, as a caller does.
void follow(const Likelihood& likelihood, const Posterior& prior, FaultSet truth, Draw& draw, Followed& out) {
  const Model& model = likelihood.model();
  Posterior posterior = prior;
  std::vector<Event> events;
  const std::unique_ptr<Strategy> strategy = make_strategy(StrategyKind::best);
  while (!truth.empty() && events.size() < 60) {
    const double start = now();
    const Bench bench(posterior, events);
    const Step step = strategy->choose(bench.space, bench.situation);
    double took = now() - start;
    out.cost += bench.space.cost(bench.situation, step);
    out.most_left_out = std::max(out.most_left_out, posterior.left_out());
    ++out.steps;
    if (step.kind == Step::Kind::call) {
      ++out.wrong;
      return;
    }
    Event event = FailedRepair{step.index};
    if (step.kind == Step::Kind::observe) {
      Index k = 0;
      for (double u = draw() - likelihood.of(step.index, 0, truth); u > 0;) u -= likelihood.of(step.index, ++k, truth);
      event = Answer{step.index, k};
    } else {
      FaultSet rest;
      for (const Index m : truth) {
        const auto& mends = model.repairs[step.index].mends;
        if (std::none_of(mends.begin(), mends.end(), [&](const Mend& x) { return x.mode == m; })) rest.add(m);
      }
      truth = rest;
      if (truth.empty()) return;
    }
    const double update = now();
    if (posterior.take(event) == Taken::impossible) {
      ++out.wrong;
      return;
    }
    events.push_back(event);
    took += now() - update;
    out.slowest = std::max(out.slowest, took);
    out.total += took;
  }
}

// Growth of the time of the next check; false where the largest misses its 50 ms.
bool large_machines() {
  bool good = true;
  for (const auto& [parts, checks] :
       {std::pair<std::size_t, std::size_t>{60, 50}, {125, 100}, {250, 200}, {500, 400}}) {
    const Model model = large_machine(parts, checks, 1);
    const double start = now();
    const Likelihood likelihood(model);
    const Posterior posterior(likelihood);
    const double made = now() - start;
    Draw draw{parts};
    Followed all;
    const int cases = 20;
    for (int i = 0; i < cases; ++i) {
      const std::vector<State> states = posterior.likeliest(2000);
      double u = draw();
      std::size_t at = 0;
      while (at + 1 < states.size() && (u -= states[at].weight) > 0) ++at;
      follow(likelihood, posterior, states[at].faults, draw, all);
    }
    fmt::print(
        "{} parts, {} faults, {} checks, {:.0f} states: made ready in {:.1f} ms; next check mean {:.1f} ms, slowest "
        "{:.1f} ms; {} cases, {:.1f} steps each, {} gave up; left out at most {:.2g}\n",
        parts, model.modes.size(), checks, count_states(model), 1e3 * made, 1e3 * all.total / all.steps,
        1e3 * all.slowest, cases, static_cast<double>(all.steps) / cases, all.wrong, all.most_left_out);
    good = good && all.slowest <= 0.050;
  }
  return good;
}

// The fault model of a robot: time to derive it and to choose the next check, following each fault that is likely to be
// complained of so; costs in minutes, weighted by how often each would be the case.
bool robot_models() {
  using namespace ringout;
  const robot::Robot demonstration = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const faults::FaultRows rows = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  bool good = true;
  for (const std::size_t points : {std::size_t{0}, std::size_t{500}}) {
    const robot::Robot robot = robot::testing::repeated(demonstration, points);
    const auto complaints = std::vector<faults::Complaint>{{{{"clamp", faults::Symptom::nothing}}},
                                                           {{{"lift_top", faults::Symptom::unchanging}}},
                                                           {{{"clamp", faults::Symptom::nothing},
                                                             {"belt", faults::Symptom::nothing},
                                                             {"lift", faults::Symptom::nothing}}}};
    for (const faults::Complaint& complaint : complaints) {
      double derive = 1e9;
      for (int i = 0; i < 5; ++i) {
        const double start = now();
        const faults::RobotModel model = faults::robot_model(robot, rows, complaint);
        derive = std::min(derive, now() - start);
      }
      const faults::RobotModel m = faults::robot_model(robot, rows, complaint);
      const Likelihood likelihood(m.model);
      double slowest = 0, weight = 0;
      std::map<StrategyKind, double> cost;
      for (const StrategyKind kind : {StrategyKind::best, StrategyKind::fixed_order, StrategyKind::chance_over_cost}) {
        for (const State& s : Posterior(likelihood).likeliest(12)) {
          const faults::testing::Followed f = faults::testing::follow(m, s.faults, kind);
          cost[kind] += s.weight * f.cost;
          if (kind != StrategyKind::best) continue;
          weight += s.weight;
          slowest = std::max(slowest, f.slowest);
        }
      }
      fmt::print(
          "{} points, \"{}\": {} parts, {} faults, {} checks, {} repairs; derived in {:.1f} ms, next check at most "
          "{:.1f} "
          "ms; {:.1f} minutes, fixed order {:.1f}, chance over cost {:.1f}\n",
          robot.outputs.size() + robot.inputs.size(), m.model.name, m.model.parts.size(), m.model.modes.size(),
          m.model.observations.size(), m.model.repairs.size(), 1e3 * derive, 1e3 * slowest,
          cost[StrategyKind::best] / weight, cost[StrategyKind::fixed_order] / weight,
          cost[StrategyKind::chance_over_cost] / weight);
      good = good && slowest <= 0.050;
    }
  }
  return good;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 7) {
    const auto number = [&](int i) { return static_cast<std::size_t>(std::atoll(argv[i])); };
    compare({number(1), number(2), number(3)}, static_cast<std::uint32_t>(number(4)), number(5), number(6));
    return 0;
  }
  if (argc == 2 && std::string_view(argv[1]) == "robot") return robot_models() ? 0 : 1;
  bool good = compare({4, 3, 3}, 1000, 300'000);
  // Cases that the search cannot close within its default 1,000 situations, but can offline.
  good = compare({6, 6, 6}, 60, 60'000, 2000) && good;
  good = large_machines() && good;
  good = robot_models() && good;
  return good ? 0 : 1;
}
