#include "physics/discharge.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace ringout::physics {
namespace {

constexpr double most_charge_per_step = 1.0 / 500.0;

BatteryState at_charge(const BatteryState& battery, double charge) {
  BatteryState b = battery;
  b.state_of_charge = charge;
  return b;
}

// The run so far, and one load at a time.
class Emptying {
 public:
  Emptying(const BatteryState& battery, Voltage cutoff) : battery_(battery), cutoff_(cutoff) {
    result_.state_of_charge = battery.state_of_charge;
    result_.lowest = seen_.terminals = open();
  }

  // False: it ended within this step.
  bool run(const DischargeStep& load) {
    double left = load.duration.si;
    while (left > 0.0) {
      const auto now = loaded(at_charge(battery_, charge()), load);
      if (!now) return end(Ended::overloaded);
      note(*now);
      if (now->terminals <= cutoff_) return end(Ended::cutoff);
      if (charge() <= 0.0 && now->current.si > 0.0) return end(Ended::empty);
      const double rate = rate_of(*now);
      double dt = rate == 0.0 ? left : std::min(left, most_charge_per_step / std::abs(rate));
      if (rate > 0.0) dt = std::min(dt, std::max(charge() / rate, 1e-9 * load.duration.si));
      const auto next = advanced(load, *now, dt);
      if (!next || next->at_end.terminals <= cutoff_) {
        dt = last_above_cutoff(load, *now, dt);
        if (const auto last = advanced(load, *now, dt)) take(*last, dt);
        return end(next ? Ended::cutoff : Ended::overloaded);
      }
      take(*next, dt);
      left -= dt;
      if (left < 1e-12 * load.duration.si) left = 0.0;
    }
    return true;
  }

  [[nodiscard]] Discharge result(Time full_cycles, Time cycle, double cycles) {
    result_.cycles = cycles + (result_.run_time - full_cycles) / cycle;
    result_.open_at_end = open();
    result_.loaded_at_end = seen_.terminals;
    return result_;
  }
  [[nodiscard]] Time run_time() const { return result_.run_time; }

 private:
  struct Advance {
    double charge = 0.0;
    LoadedBattery middle;
    LoadedBattery at_end;
  };

  [[nodiscard]] double charge() const { return result_.state_of_charge; }
  [[nodiscard]] Voltage open() const { return open_circuit(battery_.open_circuit, charge()); }
  // Share of the capacity in a second.
  [[nodiscard]] double rate_of(const LoadedBattery& b) const {
    return (counted_current(battery_.rating, b.current) / battery_.rating.capacity).si;
  }

  bool end(Ended how) {
    result_.ended = how;
    return false;
  }

  void note(const LoadedBattery& b) {
    seen_ = b;
    result_.lowest = std::min(result_.lowest, b.terminals);
  }

  // Midpoint rule.
  [[nodiscard]] std::optional<Advance> advanced(const DischargeStep& load, const LoadedBattery& now, double dt) const {
    const auto middle = loaded(at_charge(battery_, charge() - 0.5 * dt * rate_of(now)), load);
    if (!middle) return std::nullopt;
    const double charge_then = std::clamp(charge() - dt * rate_of(*middle), 0.0, 1.0);
    const auto at_end = loaded(at_charge(battery_, charge_then), load);
    if (!at_end) return std::nullopt;
    return Advance{.charge = charge_then, .middle = *middle, .at_end = *at_end};
  }

  [[nodiscard]] double last_above_cutoff(const DischargeStep& load, const LoadedBattery& now, double dt) const {
    double low = 0.0;
    double high = dt;
    for (int n = 0; n < 60 && high - low > 1e-12 * dt; ++n) {
      const double middle = 0.5 * (low + high);
      const auto then = advanced(load, now, middle);
      (then && then->at_end.terminals > cutoff_ ? low : high) = middle;
    }
    return low;
  }

  void take(const Advance& a, double dt) {
    result_.state_of_charge = a.charge;
    result_.run_time += seconds(dt);
    result_.charge += a.middle.current * seconds(dt);
    result_.energy += a.middle.current * a.middle.terminals * seconds(dt);
    note(a.at_end);
  }

  const BatteryState& battery_;
  Voltage cutoff_;
  LoadedBattery seen_;
  Discharge result_;
};

}  // namespace

std::optional<LoadedBattery> loaded(const BatteryState& battery, const DischargeStep& load) {
  const Voltage emf = open_circuit(battery.open_circuit, battery.state_of_charge);
  const Resistance r =
      battery.internal * (battery.temperature_factor * resistance_factor(battery.by_charge, battery.state_of_charge));
  // U·(1 + r·g) = E − r·I0 − r·P/U: the larger root is the one that goes over into P = 0.
  const double a = 1.0 + r * load.per_volt;
  const double b = (emf - r * load.fixed).si;
  const double root = b * b - 4.0 * a * (r * load.power).si;
  if (b <= 0.0 || root < 0.0) return std::nullopt;
  const Voltage u = {(b + std::sqrt(root)) / (2.0 * a)};
  if (u.si <= 0.0) return std::nullopt;
  return LoadedBattery{.current = load.fixed + u * load.per_volt + load.power / u, .terminals = u};
}

Discharge discharge(const BatteryState& battery, std::span<const DischargeStep> cycle, Voltage cutoff,
                    int most_cycles) {
  RINGOUT_CHECK(!cycle.empty() && most_cycles >= 1);
  Time length;
  for (const DischargeStep& step : cycle) {
    RINGOUT_CHECK(step.duration.si > 0.0);
    length += step.duration;
  }
  Emptying emptying(battery, cutoff);
  for (int n = 0; n < most_cycles; ++n) {
    const Time before = emptying.run_time();
    for (const DischargeStep& step : cycle) {
      if (!emptying.run(step)) return emptying.result(before, length, n);
    }
  }
  return emptying.result(emptying.run_time(), length, most_cycles);
}

}  // namespace ringout::physics
