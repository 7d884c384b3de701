// What a person's look says to one device on one port, and to no device at all.
#include "prove/explanation.h"

#include <algorithm>
#include <cmath>

#include "prove/prior.h"

namespace ringout::prove {

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
    const bool moves = output.has_value() && !stands(state.condition);
    const bool faint = state.condition == Condition::weak || state.condition == Condition::intermittent;
    double missed = faint ? 0.15 : prior::overlooked;
    if (state.condition == Condition::slips) missed = prior::slips_wholly;
    if (moves && !turns(robot_, robot_.outputs[*output]) && !well_lit(bridge)) missed = prior::unlit;
    if (moves && turns(robot_, robot_.outputs[*output]) && small_motion(*output, bridge))
      missed = std::max(missed, prior::too_small);
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

}  // namespace ringout::prove
