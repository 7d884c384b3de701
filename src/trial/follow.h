// One contender leads through one case.
#pragma once

#include "trial/draw.h"

namespace ringout::trial {

// What the bench and the person see in one case. Whoever asks gets the same answers: the first to a question is the
// same for all as long as the same faults are there, and so is the second.
class World {
 public:
  World(const Complained& about, const DrawnCase& drawn, const TrialSettings& settings, const MakeBench& make_bench);

  struct Given {
    std::optional<find::Index> outcome;  // nothing: made, and nobody can tell
    bool on_twin = false;
  };
  [[nodiscard]] Given answer(find::Index observation);
  // True where nothing of what is wrong is left that bears on the complaint. `mended` tells whether it did anything.
  [[nodiscard]] bool repair(find::Index repair, bool& mended);
  void start_again();
  [[nodiscard]] const faults::RobotModel& model() const { return about_.model; }
  [[nodiscard]] const find::Likelihood& likelihood() const { return *about_.likelihood; }

 private:
  [[nodiscard]] find::Index from_row(find::Index observation, std::uint64_t time) const;
  [[nodiscard]] bool sees_what_twin_lacks(find::Index observation) const;
  [[nodiscard]] std::uint64_t state() const;

  const Complained& about_;
  const DrawnCase& drawn_;
  const TrialSettings& settings_;
  const MakeBench& make_bench_;
  std::vector<TrueFault> present_;
  std::map<find::Index, std::uint64_t> asked_;  // how often
  std::map<find::Index, std::uint64_t> tries_;  // of each repair
  std::unique_ptr<TwinBench> bench_;
};

[[nodiscard]] Followed follow(World& world, const Contender& contender, const TrialSettings& settings);

}  // namespace ringout::trial
