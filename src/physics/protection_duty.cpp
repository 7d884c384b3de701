#include "physics/protection_duty.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "base/check.h"

namespace ringout::physics {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr Time counts_as_for_ever = seconds(360'000);

// Time to open in units of τ: −ln(1 − (Ib/m)²).
double opening_share(double boundary, double multiple) {
  if (multiple <= boundary) return infinity;
  const double q = boundary / multiple;
  return -std::log1p(-q * q);
}

bool carried(const LimitPoint& p) {
  return p.earliest >= counts_as_for_ever;
}

// Of all elements within the table none has a smaller τ than this: the one with the highest boundary.
Time least_constant(std::span<const LimitPoint> table, double boundary) {
  Time least;
  for (const LimitPoint& p : table) {
    if (!carried(p)) least = std::max(least, p.earliest / opening_share(boundary, p.multiple));
  }
  return least;
}

HeatedElement fast_element(std::span<const LimitPoint> table, double highest_boundary) {
  HeatedElement fast{.boundary = 0.0, .constant = {infinity}};
  for (const LimitPoint& p : table) {
    if (carried(p)) fast.boundary = p.multiple;
  }
  // No current is said to be carried: any opens it at once.
  if (fast.boundary == 0.0) return {.boundary = 0.0, .constant = seconds(0)};
  bool any = false;
  for (const LimitPoint& p : table) {
    if (carried(p)) continue;
    any = true;
    fast.constant = std::min(fast.constant, p.earliest / opening_share(fast.boundary, p.multiple));
  }
  if (!any) fast.constant = seconds(0);
  fast.constant = std::min(fast.constant, least_constant(table, highest_boundary));
  return fast;
}

// τ that is slow enough at every point, and how far beyond the table the worst point then lies.
struct SlowFit {
  double constant = 0.0;
  double worst = infinity;
};

SlowFit slow_fit(std::span<const LimitPoint> table, double boundary) {
  SlowFit fit;
  double least = infinity;  // τ that the point asks for: the largest is needed, the least is exceeded most
  for (const LimitPoint& p : table) {
    if (!std::isfinite(p.latest.si) || p.latest.si <= 0.0) continue;
    const double needed = p.latest.si / opening_share(boundary, p.multiple);
    fit.constant = std::max(fit.constant, needed);
    least = std::min(least, needed);
  }
  fit.worst = fit.constant / least;
  return fit;
}

constexpr double highest_share = 0.999;  // of the first multiple with a latest time

HeatedElement slow_element(std::span<const LimitPoint> table, double least_boundary, double first_latest) {
  constexpr int steps = 60;
  const double highest = highest_share * first_latest;
  const double lowest = std::max(least_boundary, 0.4 * first_latest);
  HeatedElement best;
  double worst = infinity;
  for (int n = 0; n <= steps; ++n) {
    const double down = static_cast<double>(n) / steps;  // finer near the top, where the fit mostly lies
    const double boundary = highest + (std::min(lowest, highest) - highest) * down * down;
    const SlowFit fit = slow_fit(table, boundary);
    if (fit.worst >= worst) continue;
    worst = fit.worst;
    best = {.boundary = boundary, .constant = seconds(fit.constant)};
  }
  return best;
}

// One step of constant current: x → end + (x − end)·decay.
struct Warming {
  double end = 0.0;
  double decay = 0.0;
  double rate = 0.0;  // 1/τ
  double duration = 0.0;
  // Without decay the end may be infinite, and nothing is left of x.
  [[nodiscard]] double after(double x) const { return decay == 0.0 ? end : end + (x - end) * decay; }
};

Warming warming(const HeatedElement& element, double multiple, Time dt) {
  const double load = element.boundary > 0.0 ? multiple / element.boundary : (multiple > 0.0 ? infinity : 0.0);
  Warming w{.end = load * load, .decay = 0.0, .rate = infinity, .duration = dt.si};
  if (element.constant.si > 0.0) {
    w.rate = 1.0 / element.constant.si;
    w.decay = std::exp(-dt.si * w.rate);
  }
  return w;
}

std::vector<Warming> warmings(const HeatedElement& element, Current rating, std::span<const CurrentStep> cycle) {
  std::vector<Warming> all;
  for (const CurrentStep& step : cycle) {
    RINGOUT_CHECK(step.duration.si > 0.0);
    all.push_back(warming(element, std::abs(step.current / rating), step.duration));
  }
  return all;
}

double run_once(const std::vector<Warming>& cycle, double x, double& peak) {
  for (const Warming& w : cycle) {
    x = w.after(x);
    peak = std::max(peak, x);
  }
  return x;
}

double cycle_decay(const std::vector<Warming>& cycle) {
  double decay = 1.0;
  for (const Warming& w : cycle) decay *= w.decay;
  return decay;
}

// x at the start of the cycle when it repeats itself.
double settled_start(const std::vector<Warming>& cycle) {
  double peak = 0.0;
  const double from_cold = run_once(cycle, 0.0, peak);
  const double decay = cycle_decay(cycle);
  return decay < 1.0 ? from_cold / (1.0 - decay) : infinity;
}

// From cold; the n-th cycle starts at x∞·(1 − decayⁿ), so the cycle in which it opens is found by halving.
double opens_after(const std::vector<Warming>& cycle) {
  const double settled = settled_start(cycle);
  const double decay = cycle_decay(cycle);
  const auto start_of = [&](double n) {
    return std::isfinite(settled) ? settled * -std::expm1(n * std::log(decay)) : 0;
  };
  const auto opens_in = [&](double n) {
    double peak = 0.0;
    run_once(cycle, decay > 0.0 ? start_of(n) : (n > 0.0 ? settled : 0.0), peak);
    return peak >= 1.0;
  };
  double high = 0.0;
  if (!opens_in(0.0)) {
    double peak = 0.0;
    run_once(cycle, settled, peak);
    if (!(peak > 1.0)) return infinity;
    double low = 0.0;
    high = 1.0;
    while (!opens_in(high)) {
      low = high;
      high *= 2.0;
      if (high > 1e15) return infinity;  // it comes nearer for ever
    }
    while (high - low > 1.0) {
      const double middle = std::floor(0.5 * (low + high));
      (opens_in(middle) ? high : low) = middle;
    }
  }
  double x = high > 0.0 ? (decay > 0.0 ? start_of(high) : settled) : 0.0;
  double length = 0.0;
  for (const Warming& w : cycle) length += w.duration;
  double t = high * length;
  for (const Warming& w : cycle) {
    if (w.after(x) >= 1.0) {
      const double inside = std::isfinite(w.rate) && x < 1.0 ? std::log((w.end - x) / (w.end - 1.0)) / w.rate : 0.0;
      return t + std::min(inside, w.duration);
    }
    x = w.after(x);
    t += w.duration;
  }
  return t;
}

// A current that stays at or above a tabulated multiple for the latest time of that point has opened it.
double certain_after(const LimitPoint& p, Current rating, std::span<const CurrentStep> cycle) {
  double t = 0.0;
  double since = 0.0;
  bool above = false;
  bool always = true;
  for (int pass = 0; pass < 2; ++pass) {
    for (const CurrentStep& step : cycle) {
      const bool now = std::abs(step.current / rating) >= p.multiple * (1.0 - 1e-9);
      if (now && !above) since = t;
      above = now;
      always = always && now;
      t += step.duration.si;
      if (above && t - since >= p.latest.si) return since + p.latest.si;
    }
  }
  return always ? p.latest.si : infinity;
}

}  // namespace

BoundingElements bounding_elements(std::span<const LimitPoint> table) {
  RINGOUT_CHECK(is_orderly(table));
  double first_latest = infinity;
  for (const LimitPoint& p : table) {
    if (std::isfinite(p.latest.si)) first_latest = std::min(first_latest, p.multiple);
  }
  BoundingElements elements;
  elements.slow_opens = std::isfinite(first_latest);
  elements.fast = fast_element(table, highest_share * first_latest);
  if (!elements.slow_opens) {
    elements.slow = {.boundary = infinity, .constant = elements.fast.constant};
    return elements;
  }
  elements.slow = slow_element(table, elements.fast.boundary, first_latest);
  elements.slow.constant = std::max(elements.slow.constant, elements.fast.constant);
  return elements;
}

Time time_to_open(const HeatedElement& element, double multiple) {
  if (multiple <= element.boundary) return for_ever();
  if (element.constant.si == 0.0) return seconds(0);
  return opening_share(element.boundary, multiple) * element.constant;
}

OpeningInterval time_to_open(std::span<const LimitPoint> table, Current rating, std::span<const CurrentStep> cycle) {
  return time_to_open(table, bounding_elements(table), rating, cycle);
}

OpeningInterval time_to_open(std::span<const LimitPoint> table, const BoundingElements& elements, Current rating,
                             std::span<const CurrentStep> cycle) {
  RINGOUT_CHECK(rating.si > 0.0);
  double largest = 0.0;
  for (const CurrentStep& step : cycle) largest = std::max(largest, std::abs(step.current / rating));
  OpeningInterval opening;
  opening.earliest =
      std::max(seconds(opens_after(warmings(elements.fast, rating, cycle))), time_to_open(table, largest).earliest);
  opening.latest = elements.slow_opens ? seconds(opens_after(warmings(elements.slow, rating, cycle))) : for_ever();
  for (const LimitPoint& p : table) {
    if (std::isfinite(p.latest.si)) opening.latest = std::min(opening.latest, seconds(certain_after(p, rating, cycle)));
  }
  opening.earliest = std::min(opening.earliest, opening.latest);  // they may differ by rounding
  return opening;
}

ThermalShare settled_peak(const BoundingElements& elements, Current rating, std::span<const CurrentStep> cycle) {
  RINGOUT_CHECK(rating.si > 0.0);
  ThermalShare peaks;
  const std::vector<Warming> fast = warmings(elements.fast, rating, cycle);
  const std::vector<Warming> slow = warmings(elements.slow, rating, cycle);
  run_once(fast, settled_start(fast), peaks.fast);
  run_once(slow, settled_start(slow), peaks.slow);
  return peaks;
}

}  // namespace ringout::physics
