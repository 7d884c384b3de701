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
constexpr double one_bump_spread = 0.15;    // one bump against the next

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

}  // namespace ringout::prove
