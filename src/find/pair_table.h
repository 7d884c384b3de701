// Exact weights of all single faults and all pairs of a large model with independent parts (1,500 modes: a million
// pairs), kept so that one answer costs little.
//
// An observation sees a few modes R. A state's likelihood depends only on S ∩ R, so that with row sums
// r_i = sum over j of w_ij everything about the observation follows from |R|^2/2 terms:
//   P(k) = sum over i<j in R of w_ij L_ij(k) + sum over i in R of (w_i + r_i - sum over j in R of w_ij) L_i(k) + rest
//   L_0(k)
// and an answer changes only the rows of R. Weights are relative to a reference that is kept as a logarithm; what is
// below 1e-300 of the largest counts as zero.
#pragma once

#include <optional>
#include <vector>

#include "find/likelihood.h"
#include "find/prior.h"

namespace ringout::find {

class PairTable {
 public:
  explicit PairTable(const Likelihood& likelihood);  // of a model with independent faults; keeps the reference

  // False, and nothing changed, where the answer is impossible.
  [[nodiscard]] bool observe(Index observation, Index outcome);
  // The repair was done and something is still wrong; false, and nothing changed, where that is impossible.
  [[nodiscard]] bool still_wrong_after(Index repair);

  [[nodiscard]] double log_weight() const;  // ln of the sum of all weights
  [[nodiscard]] std::vector<double> marginals() const;
  [[nodiscard]] std::vector<double> predict(Index observation) const;
  // I(outcome; state) in nats: the entropy of the outcome less its mean entropy when the state is known.
  [[nodiscard]] double information(Index observation) const;
  // The n likeliest states, normalised over everything. Second faults that no answer has touched are taken together
  // with the state without them: they are independent of all that is known.
  [[nodiscard]] std::vector<State> likeliest(std::size_t n) const;

 private:
  // Mass of the states whose visible part is exactly the given: see the equation above.
  struct Split {
    double none = 0;
    std::vector<double> one;  // per effect
  };
  [[nodiscard]] Split split(const std::vector<Index>& visible) const;
  [[nodiscard]] double& pair(Index i, Index j) { return pairs_[i * n_ + j]; }
  [[nodiscard]] double pair(Index i, Index j) const { return pairs_[i * n_ + j]; }
  void scale_untouched(const std::vector<Index>& visible, double factor);
  void sum_rows();
  void touch(const std::vector<Index>& modes);

  const Likelihood& likelihood_;
  std::size_t n_;
  double log_reference_ = 0.0;
  double none_ = 0.0;  // weight of the state without fault; 0 for a repair
  std::vector<double> single_;
  std::vector<double> pairs_;  // symmetric, diagonal zero
  std::vector<double> row_;
  std::vector<bool> touched_;
  std::vector<std::vector<Index>> visible_;  // per observation
};

}  // namespace ringout::find
