// P(outcome | state), by the rules of model.h, with the effects of each observation indexed by mode.
#pragma once

#include <span>
#include <vector>

#include "find/model.h"

namespace ringout::find {

class Likelihood {
 public:
  explicit Likelihood(const Model& model);  // keeps a reference to it

  // Writes the distribution over the outcomes of `observation` in the state `faults`; it sums to 1.
  void of(Index observation, const FaultSet& faults, std::span<double> out) const;
  [[nodiscard]] double of(Index observation, Index outcome, const FaultSet& faults) const;
  [[nodiscard]] bool sees(Index observation, Index mode) const { return effect_of(observation, mode) != none; }
  [[nodiscard]] const Model& model() const { return model_; }

 private:
  static constexpr std::uint16_t none = 0xFFFF;
  [[nodiscard]] std::uint16_t effect_of(Index observation, Index mode) const {
    return effect_[observation * modes_ + mode];
  }

  const Model& model_;
  std::size_t modes_;
  std::vector<std::uint16_t> effect_;  // [observation][mode] -> index of its effect
};

}  // namespace ringout::find
