#include "chart/ticks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ringout::chart {
namespace {

double power_of_ten_below(double value) {
  return std::pow(10.0, std::floor(std::log10(value)));
}

double round_step(double rough) {
  const double power = power_of_ten_below(rough);
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (rough <= factor * power * (1.0 + 1e-9)) return factor * power;
  }
  return 10.0 * power;
}

Ticks linear_ticks(const Axis& axis, const Extent& extent, int wanted) {
  double low = axis.from.value_or(extent.empty ? 0.0 : std::min(0.0, extent.low));
  double high = axis.to.value_or(extent.empty ? 1.0 : std::max(0.0, extent.high));
  if (!(high > low)) high = low + (low == 0.0 ? 1.0 : std::abs(low));
  const double step = round_step((high - low) / wanted);
  if (!axis.from) low = std::floor(low / step + 1e-9) * step;
  if (!axis.to) high = std::ceil(high / step - 1e-9) * step;
  Ticks out{low, high, {}};
  const auto first = static_cast<long>(std::ceil(low / step - 1e-9));
  const auto last = static_cast<long>(std::floor(high / step + 1e-9));
  for (long n = first; n <= last; ++n) {
    const double value = static_cast<double>(n) * step;
    out.ticks.push_back({value, tick_label(value, step)});
  }
  return out;
}

// The largest of 1, 2, 5 times a power of ten that is not above `value`, and the smallest not below it.
double rounded_down(double value) {
  const double power = power_of_ten_below(value * (1.0 + 1e-9));
  for (const double factor : {5.0, 2.0}) {
    if (value * (1.0 + 1e-9) >= factor * power) return factor * power;
  }
  return power;
}
double rounded_up(double value) {
  return round_step(value);
}

Ticks logarithmic_ticks(const Axis& axis, const Extent& extent) {
  Ticks out;
  out.low = axis.from.value_or(rounded_down(extent.empty ? 1.0 : extent.low));
  out.high = axis.to.value_or(rounded_up(extent.empty ? 10.0 : extent.high));
  if (!(out.high > out.low)) out.high = out.low * 10.0;
  const bool few = std::log10(out.high / out.low) < 2.5;
  double power = power_of_ten_below(out.low);
  while (power <= out.high * (1.0 + 1e-9)) {
    for (int factor = 1; factor <= 9; ++factor) {
      const double value = factor * power;
      if (value < out.low * (1.0 - 1e-9) || value > out.high * (1.0 + 1e-9)) continue;
      const bool labelled = factor == 1 || (few && (factor == 2 || factor == 5));
      out.ticks.push_back({value, labelled ? tick_label(value, power) : ""});
    }
    power *= 10.0;
  }
  return out;
}

}  // namespace

void Extent::include(double value, Scale scale) {
  if (!std::isfinite(value) || (scale == Scale::logarithmic && value <= 0.0)) return;
  low = empty ? value : std::min(low, value);
  high = empty ? value : std::max(high, value);
  empty = false;
}

std::string tick_label(double value, double step) {
  const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
  const std::string text = fmt::format("{:.{}f}", value == 0.0 ? 0.0 : value, decimals);
  return text.starts_with("-") ? "\u2212" + text.substr(1) : text;
}

Ticks ticks_for(const Axis& axis, const Extent& extent, int wanted) {
  return axis.scale == Scale::linear ? linear_ticks(axis, extent, wanted) : logarithmic_ticks(axis, extent);
}

}  // namespace ringout::chart
