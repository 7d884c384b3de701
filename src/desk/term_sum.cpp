#include "desk/term_sum.h"

#include <algorithm>
#include <cmath>

#include "desk/chance.h"

namespace ringout::desk {
namespace {

constexpr double tail = 0.025;
constexpr std::size_t most_drivers = 5;
constexpr double least_share = 0.01;  // of the variance: a driver
constexpr double drawn_share = 1e-4;  // of the variance: terms below it are not drawn
constexpr double rounding = 1e-9;     // of a figure: less is no change

// Linear between the sorted values around it. Values in front of `from` are known to be no larger than any other.
double quantile(std::vector<double>& values, double share, std::ptrdiff_t from = 0) {
  const double place = share * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(place);
  std::nth_element(values.begin() + from, values.begin() + below, values.end());
  const double at = values[static_cast<std::size_t>(below)];
  if (static_cast<std::size_t>(below) + 1 >= values.size()) return at;
  const double next = *std::min_element(values.begin() + below + 1, values.end());
  return at + (place - static_cast<double>(below)) * (next - at);
}

}  // namespace

std::optional<Term> term_of(std::size_t tolerance, double nominal, double low, double high) {
  if (!std::isfinite(nominal) || (!std::isfinite(low) && !std::isfinite(high))) return std::nullopt;
  const double up = std::isfinite(high) ? high - nominal : nominal - low;
  const double down = std::isfinite(low) ? low - nominal : -up;
  if (std::max(std::abs(up), std::abs(down)) <= rounding * std::abs(nominal)) return std::nullopt;
  return Term{.tolerance = tolerance, .up = up, .down = down};
}

Offsets offsets_of(std::size_t tolerances, const DeskOptions& options) {
  Offsets drawn(tolerances, std::vector<double>(static_cast<std::size_t>(options.draws)));
  Chance chance(options.seed);
  for (int n = 0; n < options.draws; ++n) {
    for (auto& of : drawn) of[static_cast<std::size_t>(n)] = chance.next();
  }
  return drawn;
}

TermSum::TermSum(double nominal, std::vector<Term> terms) : nominal_(nominal), terms_(std::move(terms)) {
  std::stable_sort(terms_.begin(), terms_.end(),
                   [](const Term& a, const Term& b) { return a.variance() > b.variance(); });
  for (const Term& t : terms_) variance_ += t.variance();
}

Interval TermSum::interval(const Offsets& drawn, std::vector<double>& values) const {
  values.assign(drawn.front().size(), nominal_);
  for (const Term& t : terms_) {
    if (t.variance() < drawn_share * variance_) break;
    // Both straight lines in one: the mean slope, and what differs from it either side.
    const double slope = 0.5 * (t.up - t.down), bend = 0.5 * (t.up + t.down);
    const double* x = drawn[t.tolerance].data();
    for (std::size_t n = 0; n < values.size(); ++n) values[n] += slope * x[n] + bend * std::abs(x[n]);
  }
  Interval i{.nominal = nominal_};
  const auto [least, most] = std::minmax_element(values.begin(), values.end());
  i.least = *least;
  i.most = *most;
  i.low = quantile(values, tail);
  i.high = quantile(values, 1.0 - tail, static_cast<std::ptrdiff_t>(tail * static_cast<double>(values.size() - 1)));
  return i;
}

std::vector<Driver> TermSum::drivers() const {
  std::vector<Driver> all;
  for (const Term& t : terms_) {
    const double share = t.variance() / variance_;
    if (share < least_share || all.size() == most_drivers) break;
    all.push_back(
        {.tolerance = t.tolerance, .correlation = std::copysign(std::sqrt(share), t.up - t.down), .share = share});
  }
  return all;
}

}  // namespace ringout::desk
