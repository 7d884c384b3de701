#include "prove/explanation.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "prove/assignment.h"
#include "prove/drift.h"
#include "prove/prior.h"

namespace ringout::prove {

namespace {

constexpr double never = -std::numeric_limits<double>::infinity();
constexpr std::size_t no_seat = std::numeric_limits<std::size_t>::max();
constexpr double drawn_spread = 0.27;    // of an answer that is as drawn, in its logarithm: friction, load, tolerances
constexpr double on_off_spread = 0.3;    // cold filaments and pumps draw more than their steady current
constexpr double odd_decay = 0.8;        // how fast odder strengths grow rarer, in their logarithm
constexpr double least_dragging = 0.15;  // what moves less is jammed
constexpr double least_on_off = 0.1;     // a load that takes less than this share is called dead, not weak

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
      case Condition::drags:
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

double condition_prior(Condition condition) {
  switch (condition) {
    case Condition::weak:
      return prior::weak;
    case Condition::strong:
      return prior::strong;
    case Condition::intermittent:
      return prior::intermittent;
    case Condition::drags:
      return prior::drags;
    case Condition::slips:
      return prior::slips;
    case Condition::jammed:
      return prior::jammed;
    case Condition::shorted:
      return prior::shorted;
    default:
      return 1.0 - prior::weak - prior::strong - prior::intermittent - prior::drags - prior::slips - prior::jammed -
             prior::shorted;
  }
}

double condition_log_prior(const OutputState& state, int drawn_sign) {
  const double log_p = std::log(condition_prior(state.condition));
  if (state.sign == 0) return log_p;
  return log_p + std::log(state.sign == drawn_sign ? 1.0 - prior::reversed : prior::reversed);
}

}  // namespace

bool turns(const robot::Robot& robot, const robot::Output& o) {
  return o.mechanism.has_value() && robot.device_of(o.device).as<robot::MotorDevice>() != nullptr;
}

Steadiness steadiness(const OutputState& s) {
  return s.condition == Condition::intermittent ? Steadiness::comes_and_goes : Steadiness::steady;
}

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

const Expected& Explanations::expected_free(std::size_t output, const Response& r) const {
  const auto key = std::make_pair(output, &r);
  const auto found = free_.find(key);
  if (found != free_.end()) return found->second;
  return free_.emplace(key, expected_running_free(robot_, robot_.outputs[output], drive_of(r))).first->second;
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

double Explanations::place_log(std::size_t output, std::size_t bridge) const {
  const robot::BoardPort& port = robot_.port_of(robot_.outputs[output].port);
  if (port.index == bridge) return std::log(1.0 - prior::absent - prior::displaced);
  return std::log(drawn_bridge_[bridge] ? prior::displaced / 2.0 : prior::moved_to_spare);
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
    const bool of_motors = state.condition == Condition::jammed || state.condition == Condition::drags ||
                           state.condition == Condition::slips;
    if (!motor && (state.sign < 0 || of_motors)) continue;
    const double least = state.condition == Condition::drags ? least_dragging : 0.0;
    const auto prior_g = motor ? strength_log_prior(state.condition, drawn_spread, least)
                               : strength_log_prior(state.condition, on_off_spread, least_on_off);
    const StrengthLogs& load = load_logs(output, bridge, s);
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
