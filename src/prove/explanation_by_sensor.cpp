// What the sensors of motion say to one device on one port.
#include "prove/explanation.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "prove/assignment.h"
#include "prove/prior.h"

namespace ringout::prove {

namespace {

constexpr double never = -std::numeric_limits<double>::infinity();

// How often a sensor in this state keeps so while nothing moves.
double rest_chance(SensorState state, Rest rest) {
  switch (state) {
    case SensorState::comes_and_goes_up:
    case SensorState::comes_and_goes_down:
      return rest == Rest::jumps ? 0.75 : rest == Rest::wanders ? 0.1 : 0.15;
    case SensorState::silent:
      return rest == Rest::jumps ? 0.05 : rest == Rest::wanders ? 0.45 : 0.5;
    default:
      return rest == Rest::still ? 0.985 : rest == Rest::wanders ? 0.01 : 0.005;
  }
}

constexpr double taken_along = 0.3;  // of the slips: it moves by some share, another in every bump

// Against the average sensor, so that it tells the sensor's states apart and says nothing about who sits where.
double rest_log(SensorState state, Rest rest, robot::PointKind kind) {
  double average = 0.0;
  for (std::size_t t = 0; t < sensor_states; ++t) {
    const auto s = static_cast<SensorState>(t);
    average += std::exp(sensor_state_log_prior(s, kind)) * rest_chance(s, rest);
  }
  return std::log(rest_chance(state, rest) / average);
}

bool steady_sensor(SensorState s) {
  return s == SensorState::up || s == SensorState::down;
}

}  // namespace

double sensor_state_log_prior(SensorState state, robot::PointKind kind) {
  const bool encoder = kind == robot::PointKind::encoder;
  const double good =
      1.0 - prior::sensor_silent - prior::sensor_intermittent - (encoder ? prior::one_channel_dead : 0.0);
  switch (state) {
    case SensorState::up:
      return std::log(good * (1.0 - prior::sensor_reversed));
    case SensorState::down:
      return std::log(good * prior::sensor_reversed);
    case SensorState::one_channel:
      return encoder ? std::log(prior::one_channel_dead) : never;
    case SensorState::silent:
      return std::log(prior::sensor_silent);
    case SensorState::comes_and_goes_up:
      return std::log(prior::sensor_intermittent * (1.0 - prior::sensor_reversed));
    case SensorState::comes_and_goes_down:
      return std::log(prior::sensor_intermittent * prior::sensor_reversed);
  }
  return never;
}

// A sensor behind the slip, whatever its own state: it stands, or is taken along by some share.
template <class LogOf, class RestOf>
double Explanations::hardly_followed(std::size_t output, std::size_t bridge, const OutputState& state,
                                     double per_radian, double slack, LogOf log_of, RestOf rest_of) const {
  double up = 0.0;
  double down = 0.0;
  for (const Response& r : by_bridge_[bridge]) {
    const int way = r.level > 0 ? state.sign : -state.sign;
    const Expected& e = expected(output, r, way > 0 ? Way::positive : Way::negative);
    const ExpectedSteps x{&r, way * e.shaft_rad * per_radian, slack};
    up += log_of(x, SensorState::comes_and_goes_up, 1.0, Steadiness::steady) - rest_of(r);
    down += log_of(x, SensorState::comes_and_goes_down, 1.0, Steadiness::steady) - rest_of(r);
  }
  const double along = log_add(std::log(1.0 - prior::sensor_reversed) + up, std::log(prior::sensor_reversed) + down);
  return log_add(std::log(1.0 - taken_along), std::log(taken_along) + along);
}

template <class LogOf, class ReadingOf, class JamOf, class RestOf, class RestIn>
Explanations::SensorLogs Explanations::sensor_logs(std::size_t output, std::size_t bridge, const robot::Input& input,
                                                   LogOf log_of, ReadingOf reading_of, JamOf jam_of, RestOf rest_of,
                                                   RestIn rest_in) const {
  const double per_radian = steps_per_radian(robot_, input);
  const double slack = slack_steps(robot_, input);
  SensorLogs out;
  for (std::size_t s = 0; s < output_states.size(); ++s) {
    const OutputState& state = output_states[s];
    // Their difference from the drawn answer lies in the strength's prior and the current alone.
    if (odd_size(state.condition) || state.condition == Condition::shorted) continue;
    if (state.condition == Condition::jammed) {
      double held = 0.0;
      for (const Response& r : by_bridge_[bridge]) held += jam_of(r, slack) - rest_of(r);
      for (auto& over_g : out.logs[s]) over_g.fill(held);
      continue;
    }
    const bool slips = state.condition == Condition::slips;
    if (slips && !input.on_motor_shaft) {
      const double followed = hardly_followed(output, bridge, state, per_radian, slack, log_of, rest_of);
      for (auto& over_g : out.logs[s]) over_g.fill(followed);
      continue;
    }
    for (const bool outward : {true, false}) {
      std::vector<ExpectedSteps> half;
      std::vector<Reading> readings;
      double rest = 0.0;
      for (const Response& r : by_bridge_[bridge]) {
        if ((r.level > 0) != outward) continue;
        const int way = r.level > 0 ? state.sign : -state.sign;
        const Expected& e =
            slips ? expected_free(output, r) : expected(output, r, way > 0 ? Way::positive : Way::negative);
        half.push_back({&r, way * e.shaft_rad * per_radian, slack});
        rest += rest_of(r);
      }
      for (std::size_t t = 0; t < sensor_states; ++t) {
        // What comes and goes has a share of its own in every bump already.
        const bool steadily = steadiness(state) == Steadiness::steady && steady_sensor(static_cast<SensorState>(t));
        for (std::size_t g = 0; g < strengths; ++g) {
          double sum = -rest;
          if (steadily) {
            readings.clear();
            for (const ExpectedSteps& x : half) {
              if (const auto r = reading_of(x, static_cast<SensorState>(t), strength_grid()[g])) readings.push_back(*r);
            }
            sum += repeats_log(readings);
          } else {
            for (const ExpectedSteps& x : half) {
              sum += log_of(x, static_cast<SensorState>(t), strength_grid()[g], steadiness(state));
            }
          }
          out.logs[s][t][g] += sum;
        }
      }
    }
  }
  Rest rest = Rest::still;
  for (const Response& r : by_bridge_[bridge]) rest = std::max(rest, rest_in(r));
  for (auto& by_state : out.logs) {
    for (std::size_t t = 0; t < sensor_states; ++t) {
      for (double& l : by_state[t]) l += rest_log(static_cast<SensorState>(t), rest, input.kind);
    }
  }
  for (std::size_t s = 0; s < output_states.size(); ++s) {
    if (odd_size(output_states[s].condition)) out.logs[s] = out.logs[output_states[s].sign > 0 ? 0 : 1];
  }
  return out;
}

const Explanations::SensorLogs& Explanations::encoder_logs(std::size_t output, std::size_t bridge, std::size_t port) {
  const auto key = std::make_tuple(output, bridge, port);
  const auto found = encoders_.find(key);
  if (found != encoders_.end()) return found->second;
  const robot::Input* in = sensor_of(output, robot::PointKind::encoder);
  RINGOUT_CHECK(in != nullptr);
  const auto seen = [port](const Response& r) { return port < r.encoders.size(); };
  SensorLogs logs = sensor_logs(
      output, bridge, *in,
      [&](const ExpectedSteps& x, SensorState t, double g, Steadiness steady) {
        return seen(*x.response) ? encoder_log(x, port, t, g, steady) : 0.0;
      },
      [&](const ExpectedSteps& x, SensorState t, double g) {
        return seen(*x.response) ? std::optional(encoder_reading(x, port, t, g)) : std::nullopt;
      },
      [&](const Response& r, double slack) { return seen(r) ? encoder_jam_log(r, port, slack) : 0.0; },
      [&](const Response& r) { return seen(r) ? encoder_rest_log(r, port) : 0.0; },
      [&](const Response& r) { return seen(r) && r.encoders[port].quiet_changes > 0 ? Rest::jumps : Rest::still; });
  return encoders_.emplace(key, logs).first->second;
}

const Explanations::SensorLogs& Explanations::analogue_logs(std::size_t output, std::size_t bridge, std::size_t port) {
  const auto key = std::make_tuple(output, bridge, port);
  const auto found = analogues_.find(key);
  if (found != analogues_.end()) return found->second;
  const robot::Input* in = sensor_of(output, robot::PointKind::analogue);
  RINGOUT_CHECK(in != nullptr);
  const auto channel = channel_of(port);
  const auto seen = [&](const Response& r) { return channel && *channel < r.moved.size(); };
  SensorLogs logs = sensor_logs(
      output, bridge, *in,
      [&](const ExpectedSteps& x, SensorState t, double g, Steadiness steady) {
        return seen(*x.response) ? analogue_log(x, *channel, t, g, steady) : 0.0;
      },
      [&](const ExpectedSteps& x, SensorState t, double g) {
        return seen(*x.response) ? std::optional(analogue_reading(x, *channel, t, g)) : std::nullopt;
      },
      [&](const Response& r, double slack) { return seen(r) ? analogue_jam_log(r, *channel, slack) : 0.0; },
      [&](const Response& r) { return seen(r) ? analogue_rest_log(r, *channel) : 0.0; },
      [&](const Response& r) { return seen(r) ? r.rest[*channel] : Rest::still; });
  return analogues_.emplace(key, logs).first->second;
}

}  // namespace ringout::prove
