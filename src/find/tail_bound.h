// An upper bound of the weight of all states with more faults than are held one by one.
//
// For a set S of independent faults with D_i the distribution of what fault i shows in an observation, C_i(k) the
// chance that it shows outcome k or less, and h, H the same where nothing is visible, the rules of model.h are
//
//   worst:  L(S) = product C_i(k) - product C_i(k-1) over the visible faults of S; h(k) where there is none
//   noisy:  the same with h as one draw more
//   first:  D of one visible fault of S;           h(k) where there is none
//
// Read as a walk over the faults of S with one bit an answer, "k was shown": a fault leaves the bit unset with C_i(k-1)
// and sets it with D_i(k); once set it stays set with C_i(k). The chance of ending with the bit set is exactly the
// first line; where it is unset, at most h(k) is counted (worst), or nothing (noisy, whose walk begins with h itself).
// For `first` a fault leaves it with 1, sets it with D_i(k), and keeps it with 1: at least the largest D of S. So
//
//   sum over all S with more than n faults of prior(S) · L_1(S) · L_2(S) · ...
//
// is at most one run over the parts with the state (number of faults up to n + 1, one bit an answer). It differs from
// the sum itself only in `first`, and in sets of which all that is visible in an answer was overlooked in it. Bits are
// kept for the first `followed` answers that are not as it should be; of later ones L(S) <= product C_i(k) counts
// (worst, noisy) or 1 (first), as L(S) <= product D_i(0) does of an outcome "as it should be". An observation with
// joint effects counts 1.
//
// A repair that failed splits a fault into what it mended (invisible from then on) and what it did not; that something
// must be left is not used. The order of events within one observation's faults does not matter.
#pragma once

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

  static constexpr std::size_t followed = 8;  // answers with a bit: 256 states a count

 private:
  struct Seen {  // of one followed answer by one fault
    std::size_t answer = 0;
    double below = 0.0;  // leaves the bit
    double at = 0.0;     // sets it
    double after = 0.0;  // keeps it
  };
  struct Life {  // of a fault: until a repair mended it, or to the end
    double factor = 1.0;
    std::vector<Seen> seen;
  };
  struct Followed {
    double begins_set = 0.0, begins_unset = 1.0;
    double ends_unset = 0.0;  // what counts where the bit is still unset
  };
  using Walk = std::vector<double>;  // by bits of the answers

  void follow(const Observation& o, Index outcome);
  void factor(const Observation& o, Index outcome);
  [[nodiscard]] Walk begin() const;
  // What `from` becomes by one of the part's faults, summed into `into`.
  void pass(const Walk& from, Index mode, Walk& into) const;

  const Likelihood& likelihood_;
  int faults_at_once_;
  double log_scale_ = 0.0;
  std::vector<Followed> followed_;
  std::vector<std::vector<Life>> lives_;     // by mode; the first is of what no repair has mended
  std::vector<std::vector<Index>> by_part_;  // modes
};

}  // namespace ringout::find
