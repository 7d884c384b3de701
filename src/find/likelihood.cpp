#include "find/likelihood.h"

#include <array>

namespace ringout::find {

Likelihood::Likelihood(const Model& model)
    : model_(model), modes_(model.modes.size()), effect_(model.observations.size() * model.modes.size(), none) {
  for (std::size_t o = 0; o < model.observations.size(); ++o) {
    const auto& effects = model.observations[o].effects;
    for (std::size_t e = 0; e < effects.size(); ++e)
      effect_[o * modes_ + effects[e].mode] = static_cast<std::uint16_t>(e);
  }
}

void Likelihood::of(Index observation, const FaultSet& faults, std::span<double> out) const {
  const Observation& o = model_.observations[observation];
  std::array<std::uint16_t, FaultSet::capacity> seen{};
  std::size_t count = 0;
  for (const Index m : faults) {
    if (effect_of(observation, m) != none) seen[count++] = effect_of(observation, m);
  }
  const auto put = [&](const std::vector<double>& chance) { std::copy(chance.begin(), chance.end(), out.begin()); };
  if (count == 0) return put(o.healthy);
  if (!o.joint.empty()) {
    FaultSet visible;
    for (std::size_t i = 0; i < count; ++i) visible.add(o.effects[seen[i]].mode);
    for (const JointEffect& j : o.joint) {
      if (j.modes == visible) return put(j.chance);
    }
  }
  if (o.combination == Combination::first)
    return put(o.effects[*std::min_element(seen.begin(), seen.begin() + count)].chance);
  const bool leak = o.combination == Combination::noisy;
  if (count == 1 && !leak) return put(o.effects[seen[0]].chance);
  // The worst of independent draws: product of the cumulative distributions.
  double below = 0.0;
  std::array<double, FaultSet::capacity + 1> sum{};
  for (std::size_t k = 0; k < o.outcomes.size(); ++k) {
    double product = 1.0;
    for (std::size_t i = 0; i < count; ++i) product *= (sum[i] += o.effects[seen[i]].chance[k]);
    if (leak) product *= (sum[count] += o.healthy[k]);
    if (k + 1 == o.outcomes.size()) product = 1.0;
    const double gain = product - below;
    out[k] = gain > 1e-15 ? gain : 0.0;  // rounding must not make the impossible possible
    below = product;
  }
}

double Likelihood::of(Index observation, Index outcome, const FaultSet& faults) const {
  std::array<double, max_outcomes> chance{};
  of(observation, faults, std::span(chance).first(model_.observations[observation].outcomes.size()));
  return chance[outcome];
}

}  // namespace ringout::find
