// A figure as the sum of what each tolerance does to it alone, and how far that sum may be off.
//
//   f(x) ≈ f(0) + Σ gt(xt)      gt: straight lines from 0 to the changes with tolerance t alone at either end, x = ±1
#pragma once

#include <optional>
#include <vector>

#include "desk/desk.h"

namespace ringout::desk {

// gt(x): straight from 0 to `up` at x = 1, and to `down` at x = −1.
struct Term {
  std::size_t tolerance = 0;
  double up = 0.0;
  double down = 0.0;
  // x even on −1 … 1: mean (up + down)/4, mean square (up² + down²)/6.
  [[nodiscard]] double variance() const {
    const double mean = 0.25 * (up + down);
    return (up * up + down * down) / 6.0 - mean * mean;
  }
};

// From the figure at both ends; one that has no figure there (not a number, or infinite) is taken as the other turned
// round. None where it does not move, nor where it has no figure between.
[[nodiscard]] std::optional<Term> term_of(std::size_t tolerance, double nominal, double low, double high);

// Every draw's offset of every tolerance, even over −1 … 1; the same numbers as spread_of draws with this seed.
using Offsets = std::vector<std::vector<double>>;
[[nodiscard]] Offsets offsets_of(std::size_t tolerances, const DeskOptions& options);

class TermSum {
 public:
  TermSum(double nominal, std::vector<Term> terms);
  // `values`: room for one value a draw, kept from figure to figure.
  [[nodiscard]] Interval interval(const Offsets& drawn, std::vector<double>& values) const;
  [[nodiscard]] std::vector<Driver> drivers() const;

 private:
  double nominal_;
  std::vector<Term> terms_;  // strongest first
  double variance_ = 0.0;
};

}  // namespace ringout::desk
