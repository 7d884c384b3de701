#include "find/robot/followed.h"

#include <algorithm>
#include <ctime>

namespace ringout::faults::testing {

namespace {

constexpr std::size_t most_steps = 60;

double processor_seconds() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

find::FaultSet after(const find::FaultSet& truth, const find::Repair& repair) {
  find::FaultSet left;
  for (const find::Index mode : truth) {
    const bool mended =
        std::any_of(repair.mends.begin(), repair.mends.end(), [&](const find::Mend& m) { return m.mode == mode; });
    if (!mended) left.add(mode);
  }
  return left;
}

find::Index likeliest(const find::Likelihood& likelihood, find::Index check, const find::FaultSet& truth) {
  std::vector<double> chance(likelihood.model().observations[check].outcomes.size());
  likelihood.of(check, truth, chance);
  return static_cast<find::Index>(std::max_element(chance.begin(), chance.end()) - chance.begin());
}

}  // namespace

Followed follow(const RobotModel& m, find::FaultSet truth, find::StrategyKind kind) {
  const find::Likelihood likelihood(m.model);
  find::Posterior posterior(likelihood);
  std::vector<find::Event> events;
  const auto strategy = find::make_strategy(kind);
  Followed out;
  while (events.size() < most_steps) {
    const double start = processor_seconds();
    const find::Bench bench(posterior, events);
    const find::Step step = strategy->choose(bench.space, bench.situation);
    out.cost += bench.space.cost(bench.situation, step);
    out.steps.push_back(bench.space.text(step));
    if (step.kind == find::Step::Kind::call) return out;
    if (step.kind == find::Step::Kind::repair) {
      out.repairs.push_back(step.index);
      truth = after(truth, m.model.repairs[step.index]);
      out.solved = truth.empty();
      if (out.solved) return out;
      events.emplace_back(find::FailedRepair{step.index});
    } else {
      out.checks.push_back(step.index);
      if (out.repairs.empty())
        (m.checks[step.index].witness == Witness::bench ? out.bench : out.by_hand) +=
            bench.space.cost(bench.situation, step);
      const find::Index outcome = likeliest(likelihood, step.index, truth);
      out.steps.back() += ": " + m.model.observations[step.index].outcomes[outcome];
      events.emplace_back(find::Answer{step.index, outcome});
    }
    if (posterior.take(events.back()) == find::Taken::impossible) return out;
    out.slowest = std::max(out.slowest, processor_seconds() - start);
  }
  return out;
}

}  // namespace ringout::faults::testing
