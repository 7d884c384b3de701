#include "physics/motor_heat.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "base/check.h"

namespace ringout::physics {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

struct Pair {
  double w = 0.0;
  double h = 0.0;
};

// dy/dt = A·y + g for y = temperatures over the inferred zero of copper: the copper's loss is I²·R0/(T0 − z)·yw.
struct Flow {
  double ww, wh, hw, hh;
  Pair g;
  [[nodiscard]] Pair at(Pair y) const { return {ww * y.w + wh * y.h + g.w, hw * y.w + hh * y.h + g.h}; }
  [[nodiscard]] double determinant() const { return ww * hh - wh * hw; }
};

Flow flow_of(const MotorBodies& m, HeatLoad load, Temperature ambient) {
  RINGOUT_CHECK(m.winding.si > 0.0 && m.housing.si > 0.0);
  RINGOUT_CHECK(m.winding_to_housing.si > 0.0 && m.housing_to_ambient.si > 0.0 && load.to_housing.si >= 0.0);
  const double copper = load.current.si * load.current.si * m.resistance.si / (m.at - copper_zero).si;
  const double inner = 1.0 / m.winding_to_housing.si;
  const double outer = 1.0 / m.housing_to_ambient.si;
  const double y_ambient = (ambient - copper_zero).si;
  return {.ww = (copper - inner) / m.winding.si,
          .wh = inner / m.winding.si,
          .hw = inner / m.housing.si,
          .hh = -(inner + outer) / m.housing.si,
          .g = {0.0, (load.to_housing.si + outer * y_ambient) / m.housing.si}};
}

// y(t) = y + f0·a(t) + f1·b(t) with f0 = dy/dt at the start and f1 = A·f0; a and b from the two real eigenvalues.
struct Response {
  double slow = 0.0;  // eigenvalues in 1/s: slow > fast
  double fast = 0.0;
};

Response response_of(const Flow& f) {
  const double half = 0.5 * (f.ww + f.hh);
  const double root = std::sqrt(0.25 * (f.ww - f.hh) * (f.ww - f.hh) + f.wh * f.hw);  // > 0: always two
  Response r{.slow = half + root, .fast = half - root};
  if (half < 0.0) r.slow = f.determinant() / r.fast;
  return r;
}

// (e^(λt) − 1)/λ.
double grown(double rate, double t) {
  return std::abs(rate * t) < 1e-12 ? t : std::expm1(rate * t) / rate;
}

// How far each mode has grown after t, over their gap: the same for every start.
struct Growth {
  double slow = 0.0;
  double fast = 0.0;
};
Growth growth_of(const Response& r, double t) {
  const double gap = r.slow - r.fast;
  return {.slow = grown(r.slow, t) / gap, .fast = grown(r.fast, t) / gap};
}

Pair go(const Flow& f, const Response& r, Pair y, const Growth& by) {
  const Pair f0 = f.at(y);
  const Pair f1 = {f.ww * f0.w + f.wh * f0.h, f.hw * f0.w + f.hh * f0.h};
  // Split the first slope into the two modes and let each grow: exact for distinct eigenvalues, which these are.
  return {y.w + (f1.w - r.fast * f0.w) * by.slow - (f1.w - r.slow * f0.w) * by.fast,
          y.h + (f1.h - r.fast * f0.h) * by.slow - (f1.h - r.slow * f0.h) * by.fast};
}
Pair go(const Flow& f, const Response& r, Pair y, double t) {
  return go(f, r, y, growth_of(r, t));
}

Pair over_zero(BodyTemperatures t) {
  return {(t.winding - copper_zero).si, (t.housing - copper_zero).si};
}
BodyTemperatures temperatures(Pair y) {
  return {copper_zero + kelvins(y.w), copper_zero + kelvins(y.h)};
}

// The moment in (0, t) when the winding's slope is zero: it has two exponentials, so there is one at most.
double turning_point(const Flow& f, const Response& r, Pair y, double t) {
  const Pair f0 = f.at(y);
  const double f1 = f.ww * f0.w + f.wh * f0.h;
  const double slow = f1 - r.fast * f0.w;
  const double fast = f1 - r.slow * f0.w;  // slope ∝ slow·e^(slow·t) − fast·e^(fast·t)
  if (slow == 0.0 || fast / slow <= 0.0) return infinity;
  const double at = std::log(fast / slow) / (r.slow - r.fast);
  return at > 0.0 && at < t ? at : infinity;
}

// First crossing of `limit` in [0, t]; t may be infinite.
double crossing(const Flow& f, const Response& r, Pair y, double limit, double t) {
  if (y.w >= limit) return 0.0;
  const auto winding = [&](double at) { return go(f, r, y, at).w; };
  // Cooling first (the winding into the housing), or warming first: the climb is on one side of the turning point.
  const double turn = turning_point(f, r, y, infinity);
  const bool cools_first = std::isfinite(turn) && f.at(y).w < 0.0;
  if (cools_first && turn >= t) return infinity;
  double low = cools_first ? turn : 0.0;
  double high = cools_first ? t : std::min(t, turn);
  if (!std::isfinite(high)) {
    const double last = std::min(1e3 / std::abs(r.slow), 1e15 / std::abs(r.fast));
    high = low + 1.0 / std::abs(r.fast);
    while (winding(high) < limit && high < last) high *= 2.0;
  }
  if (winding(high) < limit) return infinity;
  for (int n = 0; n < 200 && high - low > 1e-14 * high; ++n) {
    const double middle = 0.5 * (low + high);
    (winding(middle) < limit ? low : high) = middle;
  }
  return high;
}

// From y to `end`, which is t later.
double hottest_in(const Flow& f, const Response& r, Pair y, Pair end, double t) {
  double hottest = std::max(y.w, end.w);
  const double turn = turning_point(f, r, y, t);
  if (std::isfinite(turn)) hottest = std::max(hottest, go(f, r, y, turn).w);
  return hottest;
}

Pair end_of(const MotorBodies& m, Pair y, std::span<const HeatStep> cycle, Temperature ambient) {
  for (const HeatStep& step : cycle) {
    const Flow f = flow_of(m, step.load, ambient);
    y = go(f, response_of(f), y, step.duration.si);
  }
  return y;
}

// One cycle as an affine map: y → Φ·y + h, Φ with positive entries.
struct CycleMap {
  double ww, wh, hw, hh;
  Pair h;
};
Pair apply(const CycleMap& map, Pair y) {
  return {map.ww * y.w + map.wh * y.h + map.h.w, map.hw * y.w + map.hh * y.h + map.h.h};
}
CycleMap twice(const CycleMap& a) {
  return {a.ww * a.ww + a.wh * a.hw, a.ww * a.wh + a.wh * a.hh, a.hw * a.ww + a.hh * a.hw, a.hw * a.wh + a.hh * a.hh,
          apply(a, a.h)};
}
CycleMap map_of(const MotorBodies& m, std::span<const HeatStep> cycle, Temperature ambient) {
  Pair h;
  Pair by_w{1.0, 0.0};
  Pair by_h{0.0, 1.0};
  for (const HeatStep& step : cycle) {
    const Flow f = flow_of(m, step.load, ambient);
    const Response r = response_of(f);
    const Growth by = growth_of(r, step.duration.si);
    for (Pair* y : {&h, &by_w, &by_h}) *y = go(f, r, *y, by);
  }
  return {by_w.w - h.w, by_h.w - h.w, by_w.h - h.h, by_h.h - h.h, h};
}

// Neither body is cooler after a cycle from here; then each cycle is warmer than the one before it.
bool warms(const MotorBodies& m, Pair y, std::span<const HeatStep> cycle, Temperature ambient) {
  const Pair after = end_of(m, y, cycle, ambient);
  return after.w >= y.w && after.h >= y.h;
}

// How many whole cycles from `y`, which warms, stay below the limit within each; `y` is moved past them.
double cycles_below(const MotorBodies& m, Pair& y, const CycleMap& one, std::span<const HeatStep> cycle,
                    Temperature ambient, Temperature limit) {
  constexpr std::size_t doublings = 48;
  std::vector<CycleMap> powers{one};
  while (powers.size() < doublings) powers.push_back(twice(powers.back()));
  double passed = 0.0;
  for (std::size_t k = doublings; k-- > 0;) {
    const Pair there = apply(powers[k], y);
    // Each cycle is warmer than the one before: where the one that starts there stays below, all before it did.
    if (!std::isfinite(there.w) || !std::isfinite(there.h)) continue;
    if (!(run_cycle(m, temperatures(there), cycle, ambient).hottest < limit)) continue;
    y = there;
    passed += std::ldexp(1.0, static_cast<int>(k));
  }
  return passed;
}

Time length_of(std::span<const HeatStep> cycle) {
  Time t;
  for (const HeatStep& step : cycle) {
    RINGOUT_CHECK(step.duration.si > 0.0);
    t += step.duration;
  }
  return t;
}

}  // namespace

HeatCapacity heat_capacity(Time constant, ThermalResistance to_outside) {
  RINGOUT_CHECK(to_outside.si > 0.0);
  return constant / to_outside;
}

BodyTemperatures heated(const MotorBodies& m, BodyTemperatures from, HeatLoad load, Temperature ambient, Time dt) {
  RINGOUT_CHECK(dt.si >= 0.0);
  const Flow f = flow_of(m, load, ambient);
  return temperatures(go(f, response_of(f), over_zero(from), dt.si));
}

std::optional<BodyTemperatures> settled(const MotorBodies& m, HeatLoad load, Temperature ambient) {
  const Flow f = flow_of(m, load, ambient);
  // Both eigenvalues below zero: the trace is, and the determinant is above.
  if (f.ww + f.hh >= 0.0 || f.determinant() <= 0.0) return std::nullopt;
  return temperatures({f.wh * f.g.h / f.determinant(), -f.ww * f.g.h / f.determinant()});
}

Current continuous_current(const MotorBodies& m, Power to_housing, Temperature ambient, Temperature limit) {
  const Temperature room = limit - ambient - m.housing_to_ambient * to_housing;
  if (room.si <= 0.0) return {};
  const Resistance hot = m.resistance * ((limit - copper_zero) / (m.at - copper_zero));
  return {std::sqrt(room.si / (hot.si * (m.winding_to_housing + m.housing_to_ambient).si))};
}

Time time_to(const MotorBodies& m, BodyTemperatures from, HeatLoad load, Temperature ambient, Temperature limit) {
  const Flow f = flow_of(m, load, ambient);
  return seconds(crossing(f, response_of(f), over_zero(from), (limit - copper_zero).si, infinity));
}

CycleHeat run_cycle(const MotorBodies& m, BodyTemperatures from, std::span<const HeatStep> cycle, Temperature ambient) {
  Pair y = over_zero(from);
  double hottest = y.w;
  for (const HeatStep& step : cycle) {
    RINGOUT_CHECK(step.duration.si > 0.0);
    const Flow f = flow_of(m, step.load, ambient);
    const Response r = response_of(f);
    const Pair end = go(f, r, y, step.duration.si);
    hottest = std::max(hottest, hottest_in(f, r, y, end, step.duration.si));
    y = end;
  }
  return {.start = from, .end = temperatures(y), .hottest = copper_zero + kelvins(hottest)};
}

CycleHeat run_cycles(const MotorBodies& m, BodyTemperatures from, std::span<const HeatStep> cycle, Temperature ambient,
                     int cycles) {
  RINGOUT_CHECK(cycles >= 1);
  constexpr int worth_a_map = 4;  // one costs about as much as two cycles
  Pair y = over_zero(from);
  if (cycles > worth_a_map) {
    const CycleMap one = map_of(m, cycle, ambient);
    for (int n = 1; n < cycles; ++n) y = apply(one, y);
  } else {
    for (int n = 1; n < cycles; ++n) y = end_of(m, y, cycle, ambient);
  }
  return run_cycle(m, temperatures(y), cycle, ambient);
}

std::optional<CycleHeat> settled_cycle(const MotorBodies& m, std::span<const HeatStep> cycle, Temperature ambient) {
  RINGOUT_CHECK(!cycle.empty());
  // One cycle is y → Φ·y + h; three starts give Φ and h.
  const CycleMap map = map_of(m, cycle, ambient);
  const Pair h = map.h;
  // Φ has positive entries, so it is stable just where I − Φ has a positive diagonal and determinant.
  const double determinant = (1.0 - map.ww) * (1.0 - map.hh) - map.wh * map.hw;
  if (!(map.ww < 1.0 && map.hh < 1.0 && determinant > 0.0)) return std::nullopt;
  const Pair start = {((1.0 - map.hh) * h.w + map.wh * h.h) / determinant,
                      (map.hw * h.w + (1.0 - map.ww) * h.h) / determinant};
  return run_cycle(m, temperatures(start), cycle, ambient);
}

Time time_to(const MotorBodies& m, BodyTemperatures from, std::span<const HeatStep> cycle, Temperature ambient,
             Temperature limit) {
  const double wanted = (limit - copper_zero).si;
  const auto settled = settled_cycle(m, cycle, ambient);
  const double length = length_of(cycle).si;
  Pair y = over_zero(from);
  double start = 0.0;
  if (warms(m, y, cycle, ambient)) {
    if (settled && settled->hottest <= limit) return seconds(infinity);
    const CycleMap one = map_of(m, cycle, ambient);
    // Warming from cycle to cycle: as many whole cycles as stay below the limit are passed over at once.
    const double passed = cycles_below(m, y, one, cycle, ambient, limit);
    start = passed * length;
  }
  for (;; start += length) {
    double t = start;
    for (const HeatStep& step : cycle) {
      const Flow f = flow_of(m, step.load, ambient);
      const Response r = response_of(f);
      const double at = crossing(f, r, y, wanted, step.duration.si);
      if (at <= step.duration.si) return seconds(t + at);
      y = go(f, r, y, step.duration.si);
      t += step.duration.si;
    }
    if (!settled) continue;  // it runs away, and will come to any limit
    const Pair end = over_zero(settled->start);
    if (std::abs(y.w - end.w) < 1e-9 && std::abs(y.h - end.h) < 1e-9) return seconds(infinity);
  }
}

double allowed_duty(const MotorBodies& m, HeatLoad on, HeatLoad off, Time period, Temperature ambient,
                    Temperature limit) {
  RINGOUT_CHECK(period.si > 0.0);
  const auto fits = [&](double share) {
    const HeatStep steps[] = {{on, share * period}, {off, (1.0 - share) * period}};
    std::span<const HeatStep> cycle(steps);
    if (share >= 1.0) cycle = cycle.first(1);
    if (share <= 0.0) cycle = cycle.last(1);
    const auto heat = settled_cycle(m, cycle, ambient);
    return heat && heat->hottest <= limit;
  };
  if (!fits(0.0)) return 0.0;
  if (fits(1.0)) return 1.0;
  double low = 0.0;
  double high = 1.0;
  while (high - low > 1e-10) {
    const double middle = 0.5 * (low + high);
    (fits(middle) ? low : high) = middle;
  }
  return low;
}

double allowed_share(const MotorBodies& m, std::span<const HeatStep> cycle, HeatLoad rest, Temperature ambient,
                     Temperature limit) {
  std::vector<HeatStep> steps(cycle.begin(), cycle.end());
  const auto fits = [&](std::span<const HeatStep> all) {
    const auto heat = settled_cycle(m, all, ambient);
    return heat && heat->hottest <= limit;
  };
  if (fits(steps)) return 1.0;
  const auto resting = settled(m, rest, ambient);
  if (!resting || run_cycle(m, *resting, cycle, ambient).hottest > limit) return 0.0;
  const Time length = length_of(cycle);
  steps.push_back({rest, length});
  double low = 0.0;
  double high = 1.0;
  while (high - low > 1e-10) {
    const double middle = 0.5 * (low + high);
    steps.back().duration = length * ((1.0 - middle) / middle);
    (fits(steps) ? low : high) = middle;
  }
  return low;
}

}  // namespace ringout::physics
