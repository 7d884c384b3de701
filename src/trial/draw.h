// Draws the cases of a trial.
#pragma once

#include "trial/notice.h"
#include "trial/pool.h"

namespace ringout::trial {

// The robot as it really is, as far as the simulated one can be so. `whole`: nothing of the faults is missing.
struct AsDrawn {
  plant::Deviations deviations;
  std::vector<Miscommand> program;
  bool whole = true;
};
[[nodiscard]] AsDrawn as_drawn(const std::vector<TrueFault>& faults, std::uint64_t seed);

// True when the twin has this fault as a deviation.
[[nodiscard]] bool on_twin(const TrueFault& fault);

class Drawing {
 public:
  Drawing(const robot::Robot& robot, const Pool& pool, const TrialSettings& settings);
  // Case `n`, always the same; `unnoticed` counts draws that nobody would complain about.
  [[nodiscard]] DrawnCase draw(std::size_t n, std::size_t& unnoticed) const;

 private:
  [[nodiscard]] std::vector<TrueFault> draw_faults(std::uint64_t seed) const;
  [[nodiscard]] std::vector<faults::Trouble> troubles_of(const std::vector<TrueFault>& faults, std::uint64_t seed,
                                                         bool& on_twin) const;

  const robot::Robot& robot_;
  const Pool& pool_;
  TrialSettings settings_;
  std::vector<double> true_chance_;  // by fault of the pool, summed up
};

}  // namespace ringout::trial
