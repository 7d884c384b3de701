#include "physics/resistance_readings.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/check.h"

namespace ringout::physics {
namespace {

Resistance quantile(const std::vector<Resistance>& sorted, double p) {
  const double place = p * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(std::floor(place));
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  return sorted[below] + (sorted[above] - sorted[below]) * (place - static_cast<double>(below));
}

}  // namespace

ReadingSummary summary_of(std::span<const Resistance> readings) {
  RINGOUT_CHECK(!readings.empty());
  std::vector<Resistance> sorted(readings.begin(), readings.end());
  std::sort(sorted.begin(), sorted.end());
  Resistance sum;
  for (const Resistance r : sorted) sum += r;
  return {.lower_quartile = quantile(sorted, 0.25),
          .median = quantile(sorted, 0.5),
          .mean = sum / static_cast<double>(sorted.size()),
          .least = sorted.front(),
          .greatest = sorted.back()};
}

}  // namespace ringout::physics
