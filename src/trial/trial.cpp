#include "trial/trial.h"

#include <atomic>
#include <cmath>
#include <mutex>
#include <thread>

#include "trial/follow.h"

namespace ringout::trial {

std::string name_of(const Contender& contender) {
  return std::string(find::name_of(contender.strategy)) + (contender.by_hand ? " by hand" : "");
}

Summary summary(const TrialReport& report, std::size_t contender) {
  Summary out;
  const auto n = static_cast<double>(report.cases.size());
  double squares = 0;
  for (const CaseResult& c : report.cases) {
    const Followed& f = c.followed[contender];
    out.minutes += f.minutes / n;
    squares += f.minutes * f.minutes / n;
    out.found += (f.found ? 1.0 : 0.0) / n;
    out.checks += f.hand_checks / n;
    out.bench_checks += f.bench_checks / n;
    out.repairs += f.repairs / n;
    out.needless += f.needless / n;
  }
  out.standard_error = std::sqrt(std::max(0.0, squares - out.minutes * out.minutes) / n);
  return out;
}

TrialReport run_trial(const robot::Robot& robot, const faults::FaultRows& rows, const TrialSettings& settings,
                      const MakeBench& make_bench, const std::function<void(std::size_t)>& progress) {
  const Pool pool = pool_of(robot, rows);
  const Drawing drawing(robot, pool, settings);
  TrialReport report;
  report.cases.resize(settings.cases);
  std::atomic<std::size_t> next = 0;
  std::size_t done = 0;
  std::mutex told;
  const auto work = [&] {
    for (std::size_t n = next++; n < settings.cases; n = next++) {
      CaseResult& result = report.cases[n];
      std::size_t unnoticed = 0;
      result.drawn = drawing.draw(n, unnoticed);
      if (!result.drawn.complaint.troubles.empty()) {
        World world(pool.complained(result.drawn.complaint.troubles.front()), result.drawn, settings, make_bench);
        for (const Contender& c : settings.contenders) result.followed.push_back(follow(world, c, settings));
      }
      const std::lock_guard lock(told);
      report.unnoticed += unnoticed;
      ++done;
      if (progress) progress(done);
    }
  };
  std::vector<std::thread> threads;
  for (unsigned t = 1; t < settings.threads; ++t) threads.emplace_back(work);
  work();
  for (std::thread& t : threads) t.join();
  // A robot of whose faults nobody would complain leaves cases empty: they are no cases.
  std::erase_if(report.cases,
                [](const CaseResult& c) { return c.followed.empty() && c.drawn.complaint.troubles.empty(); });
  return report;
}

}  // namespace ringout::trial
