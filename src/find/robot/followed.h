// For tests and benches: a case on a robot's fault model, followed from the complaint to its end with the likeliest
// answers of an injected truth.
#pragma once

#include <string>
#include <vector>

#include "find/find.h"
#include "find/robot/robot_model.h"

namespace ringout::faults::testing {

struct Followed {
  double cost = 0.0;     // minutes, repairs and their trials included
  double bench = 0.0;    // of that: the bench's own checks before the first repair
  double by_hand = 0.0;  // a person's checks before the first repair
  double slowest = 0.0;  // seconds of processor time of one next check, updates included
  std::vector<std::string> steps;
  std::vector<find::Index> checks;
  std::vector<find::Index> repairs;
  bool solved = false;
};

[[nodiscard]] Followed follow(const RobotModel& model, find::FaultSet truth,
                              find::StrategyKind strategy = find::StrategyKind::best);

}  // namespace ringout::faults::testing
