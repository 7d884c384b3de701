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
constexpr std::size_t no_seat = std::numeric_limits<std::size_t>::max();
constexpr double drawn_spread = 0.27;  // of an answer that is as drawn, in its logarithm: friction, load, tolerances
constexpr double on_off_spread = 0.3;  // cold filaments and pumps draw more than their steady current
constexpr double odd_decay = 0.8;      // how fast odder strengths grow rarer, in their logarithm
constexpr double jam_spread = 0.25;
constexpr double motor_load_spread = 0.45;  // of a motor's current, in its logarithm
constexpr double odd_load_spread = 0.8;     // of another motor than drawn, or another load
constexpr double one_bump_spread = 0.15;    // one bump against the next
constexpr double least_on_off = 0.1;        // a load that takes less than this share is called dead, not weak

std::size_t key_of(const Explanations::Seat& seat) {
  return seat.value_or(no_seat);
}

// Prior density over the strength grid for each condition.
std::array<double, strengths> strength_log_prior(Condition condition, double spread, double least) {
  std::array<double, strengths> logs{};
  std::vector<double> all;
  for (std::size_t g = 0; g < strengths; ++g) {
    const double s = strength_grid()[g];
    // What comes and goes may be odd in its size as well.
    const double z = std::log(s) / (condition == Condition::intermittent ? 2.0 * spread : spread);
    switch (condition) {
      case Condition::weak:
        logs[g] = s <= 0.6 && s >= least ? std::log(s / 0.6) / odd_decay : never;
        break;
      case Condition::strong:
        logs[g] = s >= 1.7 ? -std::log(s / 1.7) / odd_decay : never;
        break;
      default:
        logs[g] = -0.5 * z * z;
    }
    all.push_back(logs[g]);
  }
  const double total = log_sum(all);
  for (double& l : logs) l -= total;
  return logs;
}

double condition_log_prior(const OutputState& state, int drawn_sign) {
  double log_p = 0.0;
  switch (state.condition) {
    case Condition::weak:
      log_p = std::log(prior::weak);
      break;
    case Condition::strong:
      log_p = std::log(prior::strong);
      break;
    case Condition::intermittent:
      log_p = std::log(prior::intermittent);
      break;
    case Condition::jammed:
      return std::log(prior::jammed);
    default:
      log_p = std::log(1.0 - prior::weak - prior::strong - prior::intermittent - prior::jammed);
  }
  return log_p + std::log(state.sign == drawn_sign ? 1.0 - prior::reversed : prior::reversed);
}

bool turns(const robot::Robot& robot, const robot::Output& o) {
  return o.mechanism.has_value() && robot.device_of(o.device).as<robot::MotorDevice>() != nullptr;
}

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

Steadiness steadiness(const OutputState& s) {
  return s.condition == Condition::intermittent ? Steadiness::comes_and_goes : Steadiness::steady;
}

}  // namespace

double drawn_source_ohms(const robot::Robot& robot) {
  double ohms = robot.battery.wire.loop().si;
  if (const auto* battery = robot.device_of(robot.battery.device).as<robot::BatteryDevice>())
    ohms += battery->internal.si;
  for (const robot::Protection& p : robot.protections) {
    if (p.fed_from != "battery" && p.fed_from != robot.battery.name) continue;
    if (const auto* d = robot.device_of(p.device).as<robot::ProtectionDevice>()) ohms += d->cold.si + p.wire.loop().si;
    break;
  }
  return std::max(ohms, 1e-3);
}

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

namespace {

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// A sensor belongs to one port at most, so in most bumps it only shows how far it strays by itself from rest to rest.
// An input that nothing holds strays far more than one quiet part lets one think.
void learn_drift(std::vector<std::vector<Response>>& by_bridge) {
  constexpr std::size_t least_bumps = 8;
  constexpr double wandering = 2.5;  // raw steps; a connected sensor stays well below
  std::vector<Response*> all;
  for (auto& responses : by_bridge) {
    for (Response& r : responses) all.push_back(&r);
  }
  if (all.size() < least_bumps) return;
  for (std::size_t c = 0; c < all[0]->moved.size(); ++c) {
    std::vector<double> strays;
    for (const Response* r : all) strays.push_back(c < r->moved.size() ? std::abs(r->moved[c].delta) : 0.0);
    const double drift = 1.4826 * median(strays);
    for (Response* r : all) {
      if (c >= r->moved.size()) continue;
      r->moved[c].error = std::hypot(r->moved[c].error, 1.5 * drift);
      if (drift > wandering) r->rest[c] = std::max(r->rest[c], Rest::wanders);
    }
  }
  for (std::size_t e = 0; e < all[0]->encoders.size(); ++e) {
    std::vector<double> strays;
    for (const Response* r : all) strays.push_back(e < r->encoders.size() ? std::abs(r->encoders[e].delta) : 0.0);
    const int drift = static_cast<int>(std::ceil(1.4826 * median(strays)));
    for (Response* r : all) {
      if (e < r->encoders.size()) r->encoders[e].quiet_widest = std::max(r->encoders[e].quiet_widest, drift);
    }
  }
}

}  // namespace

Explanations::Explanations(const robot::Robot& robot, const Evidence& evidence)
    : robot_(robot), looks_(evidence.looks) {
  const std::size_t bridges = robot.board.of_kind(robot::PortKind::bridge).size();
  by_bridge_.resize(bridges);
  drawn_bridge_.resize(bridges, false);
  source_ohms_ = drawn_source_ohms(robot);
  for (const robot::Output& o : robot.outputs) {
    const robot::BoardPort& port = robot.port_of(o.port);
    if (port.kind == robot::PortKind::bridge && port.index < bridges) drawn_bridge_[port.index] = true;
  }
  for (const capture::BumpRecord& bump : evidence.bumps) {
    if (bump.command.bridge < bridges && !bump.during.empty()) {
      by_bridge_[bump.command.bridge].push_back(response_of(robot, bump));
    }
  }
  learn_drift(by_bridge_);
}

Load Explanations::load_of(const Response& r) const {
  Load load;
  load.gaps = r.load_gaps;
  load.gaps_visible = r.gaps_visible;
  const robot::BoardBank* bank = bank_of(robot_.board, r.bridge);
  if (bank != nullptr && bank->sense_adc && bank->sense_volts_per_ampere > 0.0 && *bank->sense_adc < r.loaded.size()) {
    const Change& c = r.loaded[*bank->sense_adc];
    load.amperes = bank_amperes(robot_.board, *bank, c.delta);
    load.error = bank_amperes(robot_.board, *bank, c.error) + 0.004;
    return load;
  }
  load.amperes = r.sag_volts.delta / source_ohms_;
  load.error = r.sag_volts.error / source_ohms_ + 0.3 * std::abs(load.amperes);
  return load;
}

Drive Explanations::drive_of(const Response& r) const {
  return {.level = std::abs(r.level), .slope_per_s = r.slope_per_s, .driven_s = r.driven_s, .volts = r.rest_volts};
}

std::optional<std::size_t> Explanations::channel_of(std::size_t analogue_port) const {
  for (const robot::BoardPort* port : robot_.board.of_kind(robot::PortKind::analogue_input)) {
    if (port->index == analogue_port && port->adc_channel) return *port->adc_channel;
  }
  return std::nullopt;
}

const Expected& Explanations::expected(std::size_t output, const Response& r, Way way) const {
  const auto key = std::make_tuple(output, &r, way);
  const auto found = expected_.find(key);
  if (found != expected_.end()) return found->second;
  return expected_.emplace(key, expected_answer(robot_, robot_.outputs[output], drive_of(r), way)).first->second;
}

const robot::Input* Explanations::sensor_of(std::size_t output, robot::PointKind kind) const {
  for (const robot::Input& in : robot_.inputs) {
    if (in.kind == kind && in.senses == robot::SensesWhat::output_motion &&
        in.senses_output == robot_.outputs[output].name) {
      return &in;
    }
  }
  return nullptr;
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
    // Weak and strong differ from the drawn answer by the strength's prior alone.
    if (state.condition == Condition::weak || state.condition == Condition::strong) continue;
    if (state.condition == Condition::jammed) {
      double held = 0.0;
      for (const Response& r : by_bridge_[bridge]) held += jam_of(r, slack) - rest_of(r);
      for (auto& over_g : out.logs[s]) over_g.fill(held);
      continue;
    }
    for (const bool outward : {true, false}) {
      std::vector<ExpectedSteps> half;
      std::vector<Reading> readings;
      double rest = 0.0;
      for (const Response& r : by_bridge_[bridge]) {
        if ((r.level > 0) != outward) continue;
        const int way = r.level > 0 ? state.sign : -state.sign;
        const Expected& e = expected(output, r, way > 0 ? Way::positive : Way::negative);
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
  for (const std::size_t s : {2U, 4U}) {
    out.logs[s] = out.logs[0];
    out.logs[s + 1] = out.logs[1];
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
  return encoders_.emplace(key, std::move(logs)).first->second;
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
  return analogues_.emplace(key, std::move(logs)).first->second;
}

Explanations::StrengthLogs Explanations::load_logs(std::size_t output, std::size_t bridge,
                                                   const OutputState& state) const {
  StrengthLogs logs{};
  if (turns(robot_, robot_.outputs[output])) {
    logs.fill(motor_load_log(output, bridge, state));
    return logs;
  }
  for (const Response& r : by_bridge_[bridge]) {
    const Load load = load_of(r);
    const double none = load_log(load, 0.0, 0.0, Steadiness::steady);
    const Expected& e = expected(output, r, Way::positive);
    for (std::size_t g = 0; g < strengths; ++g) {
      logs[g] += load_log(load, strength_grid()[g] * e.amperes, one_bump_spread, steadiness(state)) - none;
    }
  }
  return logs;
}

// A motor's current does not follow its travel. What the drawing gets wrong about it is wrong in all bumps alike, so
// one factor for all of them is averaged over, and each bump has a small spread of its own.
double Explanations::motor_load_log(std::size_t output, std::size_t bridge, const OutputState& state) const {
  const bool jammed = state.condition == Condition::jammed;
  const bool as_drawn = state.condition == Condition::answers || state.condition == Condition::intermittent;
  const double spread = jammed ? jam_spread : as_drawn ? motor_load_spread : odd_load_spread;
  constexpr int points = 21;
  constexpr double reach = 2.5;
  std::vector<double> logs;
  std::vector<double> weights;
  for (int i = 0; i < points; ++i) {
    const double z = -reach + 2.0 * reach * i / (points - 1);
    const double factor = std::exp(spread * z);
    double sum = -0.5 * z * z;
    weights.push_back(sum);
    for (const Response& r : by_bridge_[bridge]) {
      const Load load = load_of(r);
      const int way = r.level > 0 ? state.sign : -state.sign;
      const Expected& e = expected(output, r, way >= 0 ? Way::positive : Way::negative);
      const double amperes = jammed ? e.stalled_amperes : e.amperes;
      sum += load_log(load, factor * amperes, one_bump_spread, steadiness(state)) -
             load_log(load, 0.0, 0.0, Steadiness::steady);
    }
    logs.push_back(sum);
  }
  return log_sum(logs) - log_sum(weights);
}

double Explanations::place_log(std::size_t output, std::size_t bridge) const {
  const robot::BoardPort& port = robot_.port_of(robot_.outputs[output].port);
  if (port.index == bridge) return std::log(1.0 - prior::absent - prior::displaced);
  return std::log(drawn_bridge_[bridge] ? prior::displaced / 2.0 : prior::moved_to_spare);
}

// Whether the strongest bump of this port was strong enough for a person to see a lamp or hear a pump.
bool Explanations::well_lit(std::size_t bridge) const {
  return std::any_of(by_bridge_[bridge].begin(), by_bridge_[bridge].end(), [this](const Response& r) {
    return std::abs(r.level) * r.rest_volts >=
           0.42 * robot_.device_of(robot_.battery.device).as<robot::BatteryDevice>()->nominal.si;
  });
}

// Whether what is drawn would move so little that a person may well not see it.
bool Explanations::small_motion(std::size_t output, std::size_t bridge) const {
  const robot::Mechanism& m = *robot_.outputs[output].mechanism;
  return std::all_of(by_bridge_[bridge].begin(), by_bridge_[bridge].end(), [&](const Response& r) {
    const double radians = expected(output, r, Way::positive).shaft_rad;
    return m.radius ? radians * m.radius->si < 0.003 : radians < 0.05;
  });
}

double Explanations::look_log(std::size_t bridge, std::optional<std::size_t> output, const OutputState& state) const {
  double log_p = 0.0;
  for (const Look& look : looks_) {
    if (look.bridge != bridge) continue;
    const double other = prior::mistaken / static_cast<double>(2 * robot_.outputs.size() + 1);
    const bool moves = output.has_value() && state.condition != Condition::jammed;
    const bool faint = state.condition == Condition::weak || state.condition == Condition::intermittent;
    double missed = faint ? 0.15 : prior::overlooked;
    if (moves && !turns(robot_, robot_.outputs[*output]) && !well_lit(bridge)) missed = prior::unlit;
    if (moves && turns(robot_, robot_.outputs[*output]) && small_motion(*output, bridge)) missed = prior::too_small;
    double p = other;
    if (moves) {
      const robot::Output& o = robot_.outputs[*output];
      const bool same = look.saw == Saw::device && look.point == o.name &&
                        (!turns(robot_, o) || look.direction == 0 || look.direction == state.sign);
      if (same) p = 1.0 - missed - prior::mistaken;
      if (look.saw == Saw::nothing) p = missed;
    } else {
      if (look.saw == Saw::nothing) p = 1.0 - prior::mistaken;
    }
    log_p += std::log(p);
  }
  return log_p;
}

double Explanations::nothing_log(std::size_t bridge) const {
  return std::log(1.0 - prior::not_drawn) + look_log(bridge, std::nullopt, {Condition::no_current, 0});
}

double Explanations::not_drawn_log(std::size_t bridge) const {
  double log_p = std::log(prior::not_drawn);
  for (const Look& look : looks_) {
    if (look.bridge != bridge) continue;
    log_p += std::log(look.saw == Saw::something_else ? 0.8 : look.saw == Saw::nothing ? 0.2 : prior::mistaken);
  }
  for (const Response& r : by_bridge_[bridge]) {
    const Load load = load_of(r);
    log_p += load_unknown_log(load) - load_log(load, 0.0, 0.0, Steadiness::steady);
  }
  return log_p;
}

const Explanation& Explanations::of(std::size_t output, std::size_t bridge, Seat encoder, Seat analogue) {
  if (sensor_of(output, robot::PointKind::encoder) == nullptr) encoder.reset();
  if (sensor_of(output, robot::PointKind::analogue) == nullptr) analogue.reset();
  const auto key = std::make_tuple(output, bridge, key_of(encoder), key_of(analogue));
  const auto found = kept_.find(key);
  if (found != kept_.end()) return found->second;
  return kept_.emplace(key, explain(output, bridge, encoder, analogue)).first->second;
}

namespace {

// Sum over a sensor's states at one strength; also what each state contributed.
double over_sensor(const std::array<std::array<double, strengths>, sensor_states>& logs, robot::PointKind kind,
                   std::size_t g, SensorPosterior& share) {
  std::array<double, sensor_states> l{};
  double top = never;
  for (std::size_t t = 0; t < sensor_states; ++t) {
    l[t] = sensor_state_log_prior(static_cast<SensorState>(t), kind) + logs[t][g];
    top = std::max(top, l[t]);
  }
  double sum = 0.0;
  for (std::size_t t = 0; t < sensor_states; ++t) {
    share[t] = std::exp(l[t] - top);
    sum += share[t];
  }
  for (double& s : share) s /= sum;
  return top + std::log(sum);
}

}  // namespace

Explanation Explanations::explain(std::size_t output, std::size_t bridge, Seat encoder, Seat analogue) {
  const robot::Output& o = robot_.outputs[output];
  const bool motor = turns(robot_, o);
  const SensorLogs* enc = encoder ? &encoder_logs(output, bridge, *encoder) : nullptr;
  const SensorLogs* ana = analogue ? &analogue_logs(output, bridge, *analogue) : nullptr;
  Explanation out;
  std::vector<double> state_logs(output_states.size(), never);
  for (std::size_t s = 0; s < output_states.size(); ++s) {
    const OutputState& state = output_states[s];
    if (!motor && (state.sign < 0 || state.condition == Condition::jammed)) continue;
    const auto prior_g = motor ? strength_log_prior(state.condition, drawn_spread, 0.0)
                               : strength_log_prior(state.condition, on_off_spread, least_on_off);
    const StrengthLogs load = load_logs(output, bridge, state);
    std::vector<double> at(strengths);
    std::array<SensorPosterior, strengths> enc_share{}, ana_share{};
    for (std::size_t g = 0; g < strengths; ++g) {
      at[g] = prior_g[g] + load[g];
      if (enc != nullptr) at[g] += over_sensor(enc->logs[s], robot::PointKind::encoder, g, enc_share[g]);
      if (ana != nullptr) at[g] += over_sensor(ana->logs[s], robot::PointKind::analogue, g, ana_share[g]);
    }
    const double total = log_sum(at);
    for (std::size_t g = 0; g < strengths; ++g) {
      const double p = std::exp(at[g] - total);
      out.strength[s] += p * strength_grid()[g];
      for (std::size_t t = 0; t < sensor_states; ++t) {
        out.encoder[s][t] += p * enc_share[g][t];
        out.analogue[s][t] += p * ana_share[g][t];
      }
    }
    const int drawn_sign = motor && o.reversed ? -1 : 1;
    state_logs[s] = total + condition_log_prior(state, drawn_sign) + look_log(bridge, output, state);
  }
  const double total = log_sum(state_logs);
  for (std::size_t s = 0; s < output_states.size(); ++s) out.state[s] = std::exp(state_logs[s] - total);
  out.log_weight = place_log(output, bridge) + total;
  return out;
}

}  // namespace ringout::prove
