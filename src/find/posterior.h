// What is believed about the machine after the answers so far: exact over all states of at most max_faults faults.
//
//   P(S | answers) = prior(S) · product of P(answer | S) / P(answers)
// Up to max_states states are held one by one, as logarithms; larger models of independent faults hold all singles and
// pairs in a PairTable. An answer is one update; the order of answers does not matter. A failed repair moves each
// state's weight to what the repair may have left of it.
//
// States of more faults are left out. Their share of the posterior is at most T / (W + T), with W the weight of what is
// held and T the bound of tail_bound.h.
#pragma once

#include <memory>
#include <variant>
#include <vector>

#include "find/pair_table.h"
#include "find/tail_bound.h"

namespace ringout::find {

struct Answer {
  Index observation = 0;
  Index outcome = 0;
};
struct FailedRepair {  // done, and something is still wrong
  Index repair = 0;
};
using Event = std::variant<Answer, FailedRepair>;

enum class Taken { yes, impossible };

class Posterior {
 public:
  // The prior, and the model's symptoms where they are possible (see starts_impossible()). Keeps a reference.
  explicit Posterior(const Likelihood& likelihood);
  ~Posterior();
  Posterior(Posterior&&) noexcept;
  Posterior(const Posterior&);

  // `impossible`: no state that is held allows it; the posterior stays as it was (conflict.h says what disagrees).
  [[nodiscard]] Taken take(const Event& event);
  [[nodiscard]] bool starts_impossible() const { return starts_impossible_; }

  [[nodiscard]] double log_evidence() const;                           // ln P(answers and a state that is held)
  [[nodiscard]] std::vector<double> marginals() const;                 // P(mode present), per mode
  [[nodiscard]] std::vector<double> predict(Index observation) const;  // per outcome
  [[nodiscard]] double information(Index observation) const;           // nats, as PairTable
  // The n likeliest states, heaviest first; their probabilities are of everything held.
  [[nodiscard]] std::vector<State> likeliest(std::size_t n) const;
  [[nodiscard]] double left_out() const;  // upper bound of the posterior share of states that are not held
  [[nodiscard]] int faults_at_once() const { return faults_at_once_; }
  [[nodiscard]] const Likelihood& likelihood() const { return likelihood_; }

 private:
  [[nodiscard]] Taken answer(const Answer& answer);
  [[nodiscard]] Taken failed(const FailedRepair& repair);

  const Likelihood& likelihood_;
  int faults_at_once_ = 1;
  bool starts_impossible_ = false;
  std::vector<State> states_;  // weights are logarithms
  std::unique_ptr<PairTable> pairs_;
  std::optional<TailBound> tail_;  // where faults are independent
};

}  // namespace ringout::find
