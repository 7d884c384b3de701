// Fault finding measured: faults are drawn and put into the simulated robot, somebody complains, a strategy leads to
// the fault, and its minutes are counted. What the engine believes is wrong on purpose: the faults come from chances
// that differ from its own, and a person's answers err more often than it is told.
//
//   true chance of a fault   its prior · d^u, u even in [-1, 1]                       d = TrialSettings::wrong_by
//   a person's answer        drawn from the model's row for the truth; with the chance `misread` another one
//   a bench answer           read on the twin through a session, where the twin can have all that the check
//                            sees; drawn from the model's row otherwise. A mended twin has a fresh budget of bumps
//   a repair                 mends each true fault that it is for with the model's chance
//   minutes                  the model's: checks, opening and closing, repairs, the proof after each, the call
// A case is found when everything that was drawn for it was mended and help was not called for.
// All strategies get the same cases and, from the model's rows, the same first, second, … answer to a question while
// the same faults are there; what the twin shows depends on what was bumped before. Seeded; the same settings give the
// same figures on any number of threads.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "find/interview_run.h"
#include "find/robot/robot_model.h"
#include "find/strategy.h"
#include "plant/deviations.h"
#include "robot/robot.h"

namespace ringout::trial {

// A way of going about it. `by_hand`: without the checks that the bench makes by itself, as one works with a printed
// manual. Those that a person makes with the bench (watching a bump, working a sensor) are still there, which is kinder
// to it than a manual is.
struct Contender {
  find::StrategyKind strategy = find::StrategyKind::best;
  bool by_hand = false;
};
[[nodiscard]] std::string name_of(const Contender& contender);

struct TrialSettings {
  std::uint64_t seed = 1;
  std::size_t cases = 100;
  int faults = 1;         // drawn at once: 1 or 2
  double wrong_by = 3.0;  // >= 1
  double misread = 0.03;  // of a person's answers, [0, 0.5]
  std::vector<Contender> contenders;
  find::Effort effort = {};
  unsigned threads = 1;
};

// A simulated robot as it really is, with the tool's own bench before it.
class TwinBench {
 public:
  virtual ~TwinBench() = default;
  // The bench makes this check, alone or together with the person.
  [[nodiscard]] virtual bool makes(find::Index observation) const = 0;
  // What it leaves to the person (a meter that she reads while it bumps) is answered from the model's row.
  [[nodiscard]] virtual find::Observed observe(find::Index observation) = 0;
};
using MakeBench = std::function<std::unique_ptr<TwinBench>(const plant::Deviations&, const faults::RobotModel&,
                                                           const faults::Complaint&)>;

struct TrueFault {
  std::string name;  // "part.mode", the same in every model of this robot
  faults::FaultOrigin origin;
  double prior = 0.0;
};

// A case before anybody looks for the fault.
struct DrawnCase {
  std::vector<TrueFault> faults;
  faults::Complaint complaint;
  bool seen_on_twin = false;  // else the complaint was drawn from the model's row
  std::uint64_t seed = 0;
};

struct Followed {  // how one contender did in one case
  double minutes = 0.0;
  double bench_minutes = 0.0;  // of the checks that the bench makes
  int bench_checks = 0;
  int hand_checks = 0;
  int repairs = 0;
  int needless = 0;  // repairs that mended nothing
  int on_twin = 0;   // checks that were read on the twin
  bool found = false;
  std::vector<std::string> steps;  // for a report of one case
};

struct CaseResult {
  DrawnCase drawn;
  std::vector<Followed> followed;  // by contender
};

struct TrialReport {
  std::vector<CaseResult> cases;
  std::size_t unnoticed = 0;  // draws that nobody would complain about; drawn again
};

struct Summary {
  double minutes = 0.0;         // mean
  double standard_error = 0.0;  // of it
  double found = 0.0;           // share
  double checks = 0.0;          // mean, by hand
  double bench_checks = 0.0;
  double repairs = 0.0;
  double needless = 0.0;
};
[[nodiscard]] Summary summary(const TrialReport& report, std::size_t contender);

// `progress` is called with the number of cases done, from any thread, one at a time. Rows as the team has them.
[[nodiscard]] TrialReport run_trial(const robot::Robot& robot, const faults::FaultRows& rows,
                                    const TrialSettings& settings, const MakeBench& make_bench,
                                    const std::function<void(std::size_t)>& progress = {});

}  // namespace ringout::trial
