// What the load current says to one device on one port.
#include "prove/explanation.h"

#include <algorithm>
#include <cmath>

#include "prove/assignment.h"

namespace ringout::prove {

namespace {

constexpr double jam_spread = 0.25;
constexpr double motor_load_spread = 0.45;  // of a motor's current, in its logarithm
constexpr double odd_load_spread = 0.8;     // of another motor than drawn, or another load
constexpr double held_back_spread = 0.18;   // of what its travel says about it
constexpr double free_spread = 0.35;        // of a motor that runs free: its own friction is known worst
constexpr double short_spread = 0.10;       // of what a driver lets through
constexpr double poor_short = 0.3;          // a short with some resistance left takes this share, or more
constexpr double impossible = -1e3;         // a logarithm
constexpr double one_bump_spread = 0.15;    // one bump against the next

// What is wrong about the expected current is wrong in all bumps alike: the mean over one factor for all of them,
// `log_at` giving the whole likelihood at one.
template <class LogAt>
double over_factor(double spread, LogAt log_at) {
  constexpr int points = 21;
  constexpr double reach = 2.5;
  std::vector<double> logs;
  std::vector<double> weights;
  for (int i = 0; i < points; ++i) {
    const double z = -reach + 2.0 * reach * i / (points - 1);
    weights.push_back(-0.5 * z * z);
    logs.push_back(weights.back() + log_at(std::exp(spread * z)));
  }
  return log_sum(logs) - log_sum(weights);
}

}  // namespace

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

const Explanations::StrengthLogs& Explanations::load_logs(std::size_t output, std::size_t bridge, std::size_t state) {
  const auto key = std::make_tuple(output, bridge, state);
  const auto found = loads_.find(key);
  if (found != loads_.end()) return found->second;
  return loads_.emplace(key, loads_in(output, bridge, output_states[state])).first->second;
}

Explanations::StrengthLogs Explanations::loads_in(std::size_t output, std::size_t bridge,
                                                  const OutputState& state) const {
  StrengthLogs logs{};
  if (state.condition == Condition::shorted) {
    logs.fill(shorted_load_log(output, bridge));
    return logs;
  }
  if (turns(robot_, robot_.outputs[output])) {
    if (state.condition != Condition::drags) {
      logs.fill(motor_load_log(output, bridge, state, 1.0));
      return logs;
    }
    for (std::size_t g = 0; g < strengths; ++g) {
      if (strength_grid()[g] < 1.0) logs[g] = motor_load_log(output, bridge, state, strength_grid()[g]);
    }
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

// A motor's current does not follow its travel, but where nothing is wrong with the motor and all with what it moves.
// Each bump has a small spread of its own.
double Explanations::motor_load_log(std::size_t output, std::size_t bridge, const OutputState& state,
                                    double strength) const {
  double spread = odd_load_spread;
  switch (state.condition) {
    case Condition::answers:
    case Condition::intermittent:
      spread = motor_load_spread;
      break;
    case Condition::jammed:
      spread = jam_spread;
      break;
    case Condition::drags:
      spread = held_back_spread;
      break;
    case Condition::slips:
      spread = free_spread;
      break;
    default:
      break;
  }
  const auto amperes_in = [&](const Response& r) {
    const int way = r.level > 0 ? state.sign : -state.sign;
    if (state.condition == Condition::slips) return expected_free(output, r).amperes;
    const Expected& e = expected(output, r, way >= 0 ? Way::positive : Way::negative);
    if (state.condition == Condition::jammed) return e.stalled_amperes;
    if (state.condition != Condition::drags) return e.amperes;
    return amperes_at(held_back_in(output, r, way >= 0 ? Way::positive : Way::negative),
                      strength + lost_share(output, e));
  };
  return over_factor(spread, [&](double factor) {
    double sum = 0.0;
    for (const Response& r : by_bridge_[bridge]) {
      const Load load = load_of(r);
      sum += load_log(load, factor * amperes_in(r), one_bump_spread, steadiness(state)) -
             load_log(load, 0.0, 0.0, Steadiness::steady);
    }
    return sum;
  });
}

const HeldBack& Explanations::held_back_in(std::size_t output, const Response& r, Way way) const {
  const auto key = std::make_tuple(output, &r, way);
  const auto found = held_back_.find(key);
  if (found != held_back_.end()) return found->second;
  return held_back_.emplace(key, held_back(robot_, robot_.outputs[output], drive_of(r), way)).first->second;
}

// Of the drawn travel: what the gear's slack keeps from a sensor behind it.
double Explanations::lost_share(std::size_t output, const Expected& drawn) const {
  for (const robot::PointKind kind : {robot::PointKind::encoder, robot::PointKind::analogue}) {
    const robot::Input* sensor = sensor_of(output, kind);
    if (sensor != nullptr && sensor->on_motor_shaft) return 0.0;
  }
  return robot_.outputs[output].mechanism->backlash.si / std::max(drawn.shaft_rad, 1e-9);
}

// Half of the shorts are whole; the others keep some resistance, and still take more than their device could.
double Explanations::shorted_load_log(std::size_t output, std::size_t bridge) const {
  const robot::Output& o = robot_.outputs[output];
  const robot::Board& board = robot_.board;
  const auto port = std::find_if(board.ports.begin(), board.ports.end(), [&](const robot::BoardPort& p) {
    return p.kind == robot::PortKind::bridge && p.index == bridge;
  });
  const auto at = [&](double share) {
    double sum = 0.0;
    for (const Response& r : by_bridge_[bridge]) {
      const Load load = load_of(r);
      sum +=
          load_log(load, share * shorted_amperes(robot_, o, *port, drive_of(r)), one_bump_spread, Steadiness::steady) -
          load_log(load, 0.0, 0.0, Steadiness::steady);
    }
    return sum;
  };
  const auto more_than_device = [&](double share) {
    return std::all_of(by_bridge_[bridge].begin(), by_bridge_[bridge].end(), [&](const Response& r) {
      return share * shorted_amperes(robot_, o, *port, drive_of(r)) >
             above_stalled * expected(output, r, Way::positive).stalled_amperes;
    });
  };
  constexpr int points = 12;
  std::vector<double> poor;
  for (int i = 0; i < points; ++i) {
    const double share = std::pow(poor_short, (i + 0.5) / points);
    poor.push_back(more_than_device(share) ? at(share) : impossible);
  }
  const double half = std::log(0.5);
  return log_add(half + over_factor(short_spread, at), half + log_sum(poor) - std::log(points));
}

}  // namespace ringout::prove
