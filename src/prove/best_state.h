// The likeliest place, condition and sign of one output, read off the posterior.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "prove/posterior.h"

namespace ringout::prove {

// Below this the sign is called unknown, and the confidence is of the rest.
inline constexpr double sign_known_from = 0.9;

// Whether a sensor told how far this output moved; without one, weak, strong and as drawn look alike.
enum class SizeSeen { yes, no };
[[nodiscard]] bool size_was_seen(const Posterior& posterior, std::size_t output);

struct BestState {
  std::size_t bridge = 0;
  std::size_t state = 0;
  double confidence = 0.0;
  bool sign_known = true;
  double drags = 0.0;                                      // of what moves too little: the probability that it drags
  std::vector<std::pair<double, Condition>> or_else = {};  // likeliest first
};
[[nodiscard]] BestState best_state(const Posterior& posterior, std::size_t output, SizeSeen size_seen);

}  // namespace ringout::prove
