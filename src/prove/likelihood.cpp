#include "prove/likelihood.h"

#include <algorithm>
#include <cmath>

#include "prove/assignment.h"

namespace ringout::prove {

namespace {

constexpr double rare = 1e-4;           // share of readings that no model explains
constexpr double motion_spread = 0.1;   // one bump against the next, the same way
constexpr double wide_counts = 4000.0;  // range of a reading that no model explains
constexpr double wide_amperes = 20.0;
constexpr double no_activity_missed = 0.03;
const double log_as_expected = std::log(1.0 - no_activity_missed);
const double log_missed = std::log(no_activity_missed);
const double log_restless_seen = std::log(0.9);
const double log_restless_not = std::log(0.1);
const double log_half = std::log(0.5);
// A held gear mostly stays where it is; now and then its slack is taken up.
const double log_at_rest = std::log(0.85);
const double log_in_slack = std::log(0.15);
constexpr std::size_t shares = 11;  // of the strength, for what comes and goes: 0, 0.1 … 1

// Width of the uniform part and its logarithm with the share of it.
struct Rare {
  double width;
  double log_density;
};
const Rare rare_counts{wide_counts, std::log(rare / wide_counts)};
const Rare rare_amperes{wide_amperes, std::log(rare / wide_amperes)};

double normal_or_rare_log(double x, double error, const Rare& tail) {
  const double z2 = x * x / (error * error);
  if (z2 > 100.0) return tail.log_density;  // the normal part has long vanished
  const double log_normal = -0.5 * z2 - std::log(error) - 0.9189385332046727;
  // The rare part matters in the tails alone.
  if (z2 < 12.0 && error < 0.01 * tail.width) return log_normal;
  return log_add(log_normal, tail.log_density);
}

// Mean over the shares of a motion that comes and goes: a quarter of the time it happens to stay on throughout.
template <class LogOf>
double over_shares(LogOf log_of) {
  std::array<double, shares> logs{};
  double top = -1e300;
  for (std::size_t i = 0; i < shares; ++i) {
    logs[i] = log_of(static_cast<double>(i) / (shares - 1));
    top = std::max(top, logs[i]);
  }
  double sum = 0.0;
  for (std::size_t i = 0; i < shares; ++i) {
    const double weight = i + 1 == shares ? 0.25 : 0.75 / (shares - 1);
    sum += logs[i] > top - 20.0 ? weight * std::exp(logs[i] - top) : 0.0;
  }
  return top + std::log(sum);
}

double square_root_of_sum(double a, double b, double c) {
  return std::sqrt(a * a + b * b + c * c);
}

// Counting noise of an encoder at rest, as the quiet part showed it.
double rest_error(const EncoderAnswer& a) {
  return std::max(0.35, 1.0 * a.quiet_widest);
}

bool restless(const EncoderAnswer& a) {
  return a.quiet_changes > 0;
}

// Whether the count changed at all, given that it must (or must not).
double activity_log(const EncoderAnswer& a, bool expected) {
  const bool seen = a.changes > 0;
  if (restless(a)) return seen ? log_restless_seen : log_restless_not;
  return seen == expected ? log_as_expected : log_missed;
}

// A count that toggles on one channel never leaves its place by more than one or two.
double one_channel_log(const EncoderAnswer& a, double steps) {
  const bool must_toggle = std::abs(steps) > 6.0;
  const double toggles = must_toggle ? activity_log(a, true) : log_half;
  const double near = a.widest <= 2 ? std::log(0.97) : std::log(0.03 / wide_counts);
  return toggles + near + normal_or_rare_log(a.delta, 0.8, rare_counts);
}

double moved_count_log(const EncoderAnswer& a, double steps, double slack) {
  const double error = square_root_of_sum(motion_spread * steps, rest_error(a) + 0.7, slack);
  const bool must_change = std::abs(steps) > 4.0 + 2.0 * slack;
  const double active = must_change ? activity_log(a, true) : log_half;
  // Counts that went far and came back are no steady motion to one side.
  return active + normal_or_rare_log(a.delta - steps, error, rare_counts);
}

constexpr double repeat_spread = 0.025;  // one bump against the next, the same way
constexpr double slack_left = 0.3;       // share of the slack that a repeat may still differ by
constexpr double side_spread = 0.15;     // out against back

}  // namespace

Reading encoder_reading(const ExpectedSteps& x, std::size_t e, SensorState state, double strength) {
  const EncoderAnswer& a = x.response->encoders[e];
  const double steps = (state == SensorState::down ? -1.0 : 1.0) * x.steps * strength;
  const bool must_change = std::abs(steps) > 4.0 + 2.0 * x.slack;
  return {.delta = a.delta,
          .wanted = steps,
          .error = square_root_of_sum(repeat_spread * steps, rest_error(a) + 0.7, slack_left * x.slack),
          .log_extra = must_change ? activity_log(a, true) : log_half};
}

Reading analogue_reading(const ExpectedSteps& x, std::size_t c, SensorState state, double strength) {
  const Change& m = x.response->moved[c];
  const double steps = (state == SensorState::down ? -1.0 : 1.0) * x.steps * strength;
  return {.delta = m.delta,
          .wanted = steps,
          .error = square_root_of_sum(repeat_spread * steps, m.error + 0.5, slack_left * x.slack)};
}

double repeats_log(const std::vector<Reading>& readings) {
  if (readings.empty()) return 0.0;
  constexpr double s2 = side_spread * side_spread;
  double a = 1.0 / s2;
  double b = 1.0 / s2;
  double log_p = -0.5 / s2 - std::log(side_spread);
  double extra = 0.0;
  for (const Reading& r : readings) {
    const double e2 = r.error * r.error;
    a += r.wanted * r.wanted / e2;
    b += r.wanted * r.delta / e2;
    log_p += -0.5 * r.delta * r.delta / e2 - std::log(r.error) - 0.9189385332046727;
    extra += r.log_extra;
  }
  log_p += 0.5 * b * b / a - 0.5 * std::log(a);
  return extra + log_add(log_p, static_cast<double>(readings.size()) * rare_counts.log_density);
}

const OverStrength& strength_grid() {
  static const OverStrength grid = [] {
    OverStrength g{};
    for (std::size_t i = 0; i < strengths; ++i) {
      g[i] = 0.01 * std::pow(40.0 / 0.01, static_cast<double>(i) / (strengths - 1));
    }
    return g;
  }();
  return grid;
}

double encoder_log(const ExpectedSteps& x, std::size_t e, SensorState state, double strength, Steadiness output) {
  const EncoderAnswer& a = x.response->encoders[e];
  const double steps = x.steps * strength;
  const auto moved = [&](double sign, bool comes_and_goes) {
    if (!comes_and_goes) return moved_count_log(a, sign * steps, x.slack);
    return over_shares([&](double share) { return moved_count_log(a, sign * share * steps, x.slack); });
  };
  const bool output_goes = output == Steadiness::comes_and_goes;
  switch (state) {
    case SensorState::up:
      return moved(1.0, output_goes);
    case SensorState::down:
      return moved(-1.0, output_goes);
    case SensorState::comes_and_goes_up:
      return moved(1.0, true);
    case SensorState::comes_and_goes_down:
      return moved(-1.0, true);
    case SensorState::one_channel:
      return one_channel_log(a, steps);
    case SensorState::silent:
      return encoder_rest_log(*x.response, e);
  }
  return 0.0;
}

double encoder_rest_log(const Response& r, std::size_t e) {
  const EncoderAnswer& a = r.encoders[e];
  return activity_log(a, false) + normal_or_rare_log(a.delta, rest_error(a), rare_counts);
}

double encoder_jam_log(const Response& r, std::size_t e, double slack) {
  const EncoderAnswer& a = r.encoders[e];
  const double within = log_half + normal_or_rare_log(a.delta, rest_error(a) + slack, rare_counts);
  return log_add(log_at_rest + encoder_rest_log(r, e), log_in_slack + within);
}

double analogue_log(const ExpectedSteps& x, std::size_t c, SensorState state, double strength, Steadiness output) {
  const Change& m = x.response->moved[c];
  const double steps = x.steps * strength;
  const auto at = [&](double wanted) {
    const double error = square_root_of_sum(motion_spread * wanted, m.error, x.slack);
    return normal_or_rare_log(m.delta - wanted, error, rare_counts);
  };
  const auto moved = [&](double sign, bool comes_and_goes) {
    if (!comes_and_goes) return at(sign * steps);
    return over_shares([&](double share) { return at(sign * share * steps); });
  };
  const bool output_goes = output == Steadiness::comes_and_goes;
  switch (state) {
    case SensorState::up:
      return moved(1.0, output_goes);
    case SensorState::down:
      return moved(-1.0, output_goes);
    case SensorState::comes_and_goes_up:
      return moved(1.0, true);
    case SensorState::comes_and_goes_down:
      return moved(-1.0, true);
    case SensorState::one_channel:
      return -1e3;  // an analogue sensor has no channels
    case SensorState::silent:
      return analogue_rest_log(*x.response, c);
  }
  return 0.0;
}

double analogue_rest_log(const Response& r, std::size_t c) {
  return normal_or_rare_log(r.moved[c].delta, r.moved[c].error, rare_counts);
}

double analogue_jam_log(const Response& r, std::size_t c, double slack) {
  const double within = normal_or_rare_log(r.moved[c].delta, r.moved[c].error + slack, rare_counts);
  return log_add(log_at_rest + analogue_rest_log(r, c), log_in_slack + within);
}

double load_log(const Load& load, double expected, double spread, Steadiness output) {
  const auto at = [&](double amperes) {
    const double error = square_root_of_sum(spread * amperes, load.error, 0.0);
    return normal_or_rare_log(load.amperes - amperes, error, rare_amperes);
  };
  double gaps = 0.0;
  if (load.gaps_visible) {
    const bool seen = load.gaps > 0.0;
    gaps = output == Steadiness::comes_and_goes ? std::log(seen ? 0.4 : 0.6) : std::log(seen ? 0.004 : 0.996);
  }
  if (output == Steadiness::steady) return gaps + at(expected);
  return gaps + over_shares([&](double share) { return at(share * expected); });
}

double load_unknown_log(const Load& load) {
  // Equal weight for equal ratios of current from 50 mA to 20 A, on a grid wide enough for the error.
  std::vector<double> logs;
  constexpr int points = 24;
  for (int i = 0; i < points; ++i) {
    const double amperes = 0.05 * std::pow(400.0, i / (points - 1.0));
    const double error = std::max(load.error, 0.15 * amperes);
    logs.push_back(normal_or_rare_log(load.amperes - amperes, error, rare_amperes) - std::log(points));
  }
  return log_sum(logs);
}

}  // namespace ringout::prove
