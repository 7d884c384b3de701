#include "prove/best_state.h"

#include <algorithm>

namespace ringout::prove {

namespace {

constexpr double drags_from = 0.75;  // of what moves too little
constexpr double named_from = 0.05;  // what else it may be is named from this probability on

constexpr std::array all_conditions = {Condition::answers, Condition::weak,         Condition::drags,
                                       Condition::strong,  Condition::intermittent, Condition::slips,
                                       Condition::jammed,  Condition::shorted};

// What moves too little is weak; that it drags is said where its current speaks for it. That it moves too little is the
// surer of the two, so the confidence is of that, and the other causes stay in what to do.
bool same_answer(Condition a, Condition b) {
  const auto little = [](Condition c) { return c == Condition::weak || c == Condition::drags; };
  return a == b || (little(a) && little(b));
}

}  // namespace

bool size_was_seen(const Posterior& posterior, std::size_t output) {
  for (const auto* sensors : {&posterior.encoders, &posterior.analogues}) {
    for (const SensorMass& m : *sensors) {
      if (m.output != output) continue;
      double told = 0.0;
      for (const SensorPosterior& s : m.on_port) {
        for (std::size_t t = 0; t < sensor_states; ++t) {
          const auto state = static_cast<SensorState>(t);
          if (state != SensorState::silent && state != SensorState::one_channel) told += s[t];
        }
      }
      if (told > 0.5) return true;
    }
  }
  return false;
}

BestState best_state(const Posterior& posterior, std::size_t output, SizeSeen size_seen) {
  BestState best;
  const auto& by_bridge = posterior.output[output];
  for (std::size_t p = 1; p < by_bridge.size(); ++p) {
    if (posterior.on(output, p) > posterior.on(output, best.bridge)) best.bridge = p;
  }
  StateMass mass = by_bridge[best.bridge];
  if (size_seen == SizeSeen::no) {
    for (std::size_t k = 0; k < mass.size(); ++k) {
      // Its current tells of what drags, whether its motion is seen or not.
      if (!odd_size(output_states[k].condition) || output_states[k].condition == Condition::drags) continue;
      mass[output_states[k].sign > 0 ? 0 : 1] += mass[k];
      mass[k] = 0.0;
    }
  }
  const auto sum = [&mass](auto belongs) {
    double all = 0.0;
    for (std::size_t k = 0; k < mass.size(); ++k) all += belongs(output_states[k]) ? mass[k] : 0.0;
    return all;
  };
  const auto alike = [&](Condition c) {
    return sum([c](const OutputState& s) { return same_answer(s.condition, c); });
  };
  // Condition first, both signs together; then the sign within it.
  Condition top = Condition::answers;
  for (const Condition c : all_conditions) {
    if (alike(c) > alike(top)) top = c;
  }
  best.confidence = alike(top);
  if (top == Condition::weak || top == Condition::drags) {
    const double drags = sum([](const OutputState& s) { return s.condition == Condition::drags; });
    best.drags = drags / std::max(best.confidence, 1e-300);
    top = best.drags >= drags_from ? Condition::drags : Condition::weak;
  }
  const double up = sum([top](const OutputState& s) { return same_answer(s.condition, top) && s.sign > 0; });
  const double down = sum([top](const OutputState& s) { return same_answer(s.condition, top) && s.sign < 0; });
  const int sign = stands(top) ? 0 : up >= down ? 1 : -1;
  for (std::size_t k = 0; k < mass.size(); ++k) {
    if (output_states[k].condition == top && output_states[k].sign == sign) best.state = k;
  }
  best.sign_known = sign != 0 && std::max(up, down) >= sign_known_from * best.confidence;
  if (best.sign_known) best.confidence = std::max(up, down);
  for (const Condition c : all_conditions) {
    const double other = sum([c](const OutputState& s) { return s.condition == c; });
    if (!same_answer(c, top) && other >= named_from) best.or_else.emplace_back(other, c);
  }
  if (posterior.absent[output] >= named_from)
    best.or_else.emplace_back(posterior.absent[output], Condition::no_current);
  std::stable_sort(best.or_else.begin(), best.or_else.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  return best;
}

}  // namespace ringout::prove
