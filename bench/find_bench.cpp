// How good and how fast fault finding is: each strategy's expected cost against the optimum on random cases, and the time
// of the next check on large machines. Prints a table; exit status 1 where a requirement is missed.
#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <ctime>

#include "find/optimum.h"
#include "find/policy.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

double now() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }  // processor time of this process

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
          {"rollout", StrategyKind::rollout, 1, {}}};
}

// Ratios to the optimum; cases that the search cannot close within `nodes` are left out and counted.
void compare(RandomSize size, std::uint32_t cases, std::size_t nodes) {
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
    if (!best.closed()) {
      ++open;
      continue;
    }
    for (Row& row : rows) {
      Effort effort;
      effort.depth = row.depth;
      const double begin = now();
      const std::unique_ptr<Strategy> strategy = make_strategy(row.kind, effort);
      row.ratios.add(expected_cost(c.space, *strategy).cost / best.upper, seed);
      row.ratios.seconds += now() - begin;
    }
  }
  fmt::print("{} random cases of {} faults, {} checks, {} repairs: {} not closed within {} situations; the optimum took "
             "{:.2f} ms and {} situations on average\n",
             cases, size.faults, size.checks, size.repairs, open, nodes, 1e3 * searching / cases, situations / cases);
  for (const Row& row : rows) {
    fmt::print("  {:18} mean {:.4f}  worst {:.4f} (case {})  {:.2f} ms a tree\n", row.label,
               row.ratios.sum / row.ratios.count, row.ratios.worst, row.ratios.worst_seed,
               1e3 * row.ratios.seconds / row.ratios.count);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 6) {
    const auto number = [&](int i) { return static_cast<std::size_t>(std::atoll(argv[i])); };
    compare({number(1), number(2), number(3)}, static_cast<std::uint32_t>(number(4)), number(5));
    return 0;
  }
  compare({4, 3, 3}, 1000, 300'000);
  return 0;
}
