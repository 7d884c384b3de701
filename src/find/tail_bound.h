// An upper bound of the weight of all states with more faults than are held one by one.
//
// For a set S of independent faults, prior(S) is a product over parts, and each answer's likelihood is bounded by a
// product over the faults of S:
//   an outcome "as it should be", rules worst and noisy:   L(S) <= product of F_i(0)
//   any other:   L(S) <= h + sum of D_i(k) <= t · product of (1 + D_i(k) / t)   for every t >= h > 0 (union bound)
// A repair splits a fault's factor into what it mends (1 from then on) and what it does not. So the sum over all S with
// more than k faults is one run of the Poisson-binomial recursion with weighted faults (prior.h). The bound holds for
// every t; a few are kept and the best is taken.
#pragma once

#include <array>
#include <vector>

#include "find/likelihood.h"

namespace ringout::find {

class TailBound {
 public:
  TailBound(const Likelihood& likelihood, int faults_at_once);

  void answer(Index observation, Index outcome);
  void failed_repair(Index repair);
  // ln of the bound; minus infinity where nothing is left out.
  [[nodiscard]] double log_weight() const;

 private:
  struct Track {
    double floor = 1.0;          // t, where the healthy chance is not above it
    double log_scale = 0.0;      // sum of ln t and of healthy factors
    std::vector<double> stays;   // per mode: factor of what no repair has mended
    std::vector<double> mended;  // of what one has
  };
  const Likelihood& likelihood_;
  int faults_at_once_;
  std::array<Track, 6> tracks_;
};

}  // namespace ringout::find
