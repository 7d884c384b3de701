// What the fault model says of each fault against what the twin's bench really shows of it.
#include "cli/trial_bench.h"

#include <doctest/doctest.h>

#include <atomic>
#include <cstdlib>
#include <mutex>
#include <thread>

#include "find/robot/testing.h"
#include "robot/testing.h"
#include "trial/draw.h"

using namespace ringout;

namespace {

constexpr double likely_enough = 0.05;
constexpr std::uint64_t seed = 5;
// Three minutes of one core for all faults: every third is compared here, all of them with RINGOUT_ALL_FAULTS=1.
constexpr std::size_t one_in = 3;

// Nobody complains of these while each point is worked once, alone.
bool may_pass_unnoticed(const faults::FaultOrigin& fault) {
  using faults::Mode;
  switch (fault.mode) {
    case Mode::empty:  // a lone motor does not bring the battery down: it shows when several work at once
    case Mode::weak:
    case Mode::stiff:       // where the motor has torque to spare
    case Mode::wrong_type:  // another of the catalogue that does the same work
      return true;
    case Mode::intermittent:  // a mechanism that coasts rides through 40 ms
      return fault.kind == faults::PartKind::wire || fault.kind == faults::PartKind::connector;
    default:
      return false;
  }
}

struct Found {
  std::vector<std::string> unlikely, unnoticed;
  int faults = 0, observations = 0;
};

class Comparison {
 public:
  Comparison()
      : robot_(robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR)),
        pool_(trial::pool_of(robot_, faults::testing::shipped_rows(RINGOUT_SOURCE_DIR))),
        make_(cli::twin_benches(robot_)) {}

  Found all() {
    std::vector<std::thread> threads;
    for (unsigned t = 0; t < std::max(1U, std::thread::hardware_concurrency()); ++t)
      threads.emplace_back([this] {
        for (std::size_t n = next_++; n < pool_.faults.size(); n = next_++) {
          if (all_ || n % one_in == seed % one_in) compare(pool_.faults[n]);
        }
      });
    for (std::thread& t : threads) t.join();
    return found_;
  }

 private:
  void compare(const trial::TrueFault& fault) {
    if (!trial::on_twin(fault)) return;
    const trial::AsDrawn real = trial::as_drawn({fault}, seed);
    bool noticed = false;
    for (const faults::Trouble& trouble : trial::noticed(robot_, real.deviations, {}, seed))
      noticed = compare(fault, trouble, real.deviations) || noticed;
    Found here;
    here.faults = noticed ? 1 : 0;
    if (!noticed && !may_pass_unnoticed(fault.origin)) here.unnoticed.push_back(fault.name);
    add(here);
  }

  // False where a case about this trouble does not have the fault among its suspects.
  bool compare(const trial::TrueFault& fault, const faults::Trouble& trouble, const plant::Deviations& deviations) {
    const trial::Complained& about = pool_.complained(trouble);
    const auto set = about.set_of({fault});
    if (!set) return false;
    const find::Symptom& said = about.model.model.symptoms.front();
    Found here;
    note(here, fault, about, said.observation, said.outcome, *set);
    const auto bench = make_(deviations, about.model, {{trouble}});
    for (find::Index o = 0; o < about.model.checks.size(); ++o) {
      if (!bench->makes(o)) continue;
      const find::Observed seen = bench->observe(o);
      if (seen.how == find::Observed::How::seen) note(here, fault, about, o, seen.outcome, *set);
    }
    add(here);
    return true;
  }

  static void note(Found& here, const trial::TrueFault& fault, const trial::Complained& about, find::Index observation,
                   find::Index outcome, const find::FaultSet& set) {
    ++here.observations;
    if (about.likelihood->of(observation, outcome, set) >= likely_enough) return;
    const find::Observation& o = about.model.model.observations[observation];
    here.unlikely.push_back(about.model.model.name + ": " + fault.name + ": " + o.name + ": " + o.outcomes[outcome]);
  }

  void add(const Found& here) {
    const std::lock_guard lock(lock_);
    found_.unlikely.insert(found_.unlikely.end(), here.unlikely.begin(), here.unlikely.end());
    found_.unnoticed.insert(found_.unnoticed.end(), here.unnoticed.begin(), here.unnoticed.end());
    found_.faults += here.faults;
    found_.observations += here.observations;
  }

  const robot::Robot robot_;
  const trial::Pool pool_;
  const trial::MakeBench make_;
  const bool all_ = std::getenv("RINGOUT_ALL_FAULTS") != nullptr;
  std::atomic<std::size_t> next_ = 0;
  std::mutex lock_;
  Found found_;
};

}  // namespace

TEST_CASE("what the bench shows of each fault of the demonstration robot is among what the model expects of it") {
  const Found found = Comparison().all();
  for (const std::string& row : found.unlikely) FAIL_CHECK("the model hardly expects " << row);
  for (const std::string& fault : found.unnoticed) FAIL_CHECK("nobody complains of " << fault);
  CHECK(found.faults > 60);
  CHECK(found.observations > 1000);
}
