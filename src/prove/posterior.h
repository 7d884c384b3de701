// The posterior over whole wirings, as marginals that findings and questions are read from.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "prove/explanation.h"

namespace ringout::prove {

using StateMass = std::array<double, output_states.size()>;

struct SensorMass {
  const robot::Input* input = nullptr;
  std::size_t output = 0;
  std::size_t drawn = 0;
  std::vector<SensorPosterior> on_port;  // [port][state]; its output moved
  double nowhere = 0.0;                  // its output moved and no port answered for it
  double unobserved = 0.0;               // its output did not move, or was not found
};

struct Posterior {
  std::vector<std::vector<StateMass>> output;  // [output][bridge][state]
  std::vector<double> absent;                  // [output]
  std::vector<double> nothing;                 // [bridge]: no device and no current
  std::vector<double> not_drawn;               // [bridge]
  std::vector<SensorMass> encoders;
  std::vector<SensorMass> analogues;
  std::vector<StateMass> strength;  // [output][state]: mean strength, weighted; divide by `weight`
  std::vector<StateMass> weight;
  double best = 0.0;  // probability of the likeliest whole wiring (places only)

  [[nodiscard]] double on(std::size_t output, std::size_t bridge) const;  // all states
};

[[nodiscard]] Posterior posterior_of(Explanations& explanations);

}  // namespace ringout::prove
