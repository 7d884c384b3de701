#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/best_state.h"
#include "prove/motor_match.h"
#include "prove/wording.h"

namespace ringout::prove {

namespace {

bool looked_at(const Evidence& evidence, std::size_t bridge) {
  return std::any_of(evidence.looks.begin(), evidence.looks.end(),
                     [bridge](const Look& l) { return l.bridge == bridge; });
}

// "; ENC1 counted +104/-101" for every sensor port that moved on this port's bumps.
std::string moved_words(const Explanations& x, std::size_t bridge) {
  const robot::Board& board = x.robot().board;
  std::string words;
  const std::size_t encoders = board.of_kind(robot::PortKind::encoder_input).size();
  for (std::size_t e = 0; e < encoders; ++e) {
    std::string deltas;
    bool any = false;
    for (const Response& r : x.responses(bridge)) {
      if (e >= r.encoders.size()) continue;
      any = any || std::abs(r.encoders[e].delta) > 2.0 + 2.0 * r.encoders[e].quiet_widest || r.encoders[e].changes > 3;
      deltas += fmt::format("{}{:+.0f}", deltas.empty() ? "" : "/", r.encoders[e].delta);
    }
    if (any) words += fmt::format("; {} counted {}", port_name(board, robot::PortKind::encoder_input, e), deltas);
  }
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::analogue_input)) {
    const auto channel = x.channel_of(port->index);
    std::string deltas;
    bool any = false;
    for (const Response& r : x.responses(bridge)) {
      if (!channel || *channel >= r.moved.size()) continue;
      any = any || std::abs(r.moved[*channel].delta) > 6.0 * r.moved[*channel].error + 1.0;
      deltas += fmt::format("{}{:+.0f}", deltas.empty() ? "" : "/", r.moved[*channel].delta);
    }
    if (any) words += fmt::format("; {} changed by {} raw", port->name, deltas);
  }
  return words.empty() ? "; no sensor moved" : words;
}

std::string load_words(const Explanations& x, std::size_t bridge) {
  double sum = 0.0;
  double error = 0.0;
  const auto& all = x.responses(bridge);
  for (const Response& r : all) {
    sum += x.load_of(r).amperes;
    error += x.load_of(r).error;
  }
  if (all.empty()) return "";
  const double n = static_cast<double>(all.size());
  return fmt::format("{:.2f} A (error {:.2f} A)", sum / n, error / n);
}

std::string bump_words(const Explanations& x, const Evidence& evidence, std::size_t bridge) {
  const std::size_t count = x.responses(bridge).size();
  if (count == 0) return "not bumped";
  std::string words =
      fmt::format("{} bumped {} times: {}{}", port_name(x.robot().board, robot::PortKind::bridge, bridge), count,
                  load_words(x, bridge), moved_words(x, bridge));
  for (const Look& look : evidence.looks) {
    if (look.bridge != bridge) continue;
    const char* way = look.direction > 0 ? ", as a positive value should" : look.direction < 0 ? ", the other way" : "";
    words += look.saw == Saw::device    ? fmt::format("; a person saw {} act{}", look.point, way)
             : look.saw == Saw::nothing ? std::string("; a person saw nothing act")
                                        : std::string("; a person saw something act that is not drawn");
  }
  return words;
}

Finding absent_finding(Explanations& x, const Posterior& posterior, const Evidence& evidence, std::size_t d,
                       std::size_t drawn) {
  const robot::Output& o = x.robot().outputs[d];
  Finding f{.point = o.name, .drawn_port = o.port, .found_port = {}, .confidence = posterior.absent[d], .evidence = {}};
  f.person_looked = looked_at(evidence, drawn);
  f.evidence = bump_words(x, evidence, drawn);
  f.condition = Condition::no_current;
  if (posterior.not_drawn[drawn] > 0.5) f.condition = Condition::something_else;
  if (f.condition == Condition::no_current && posterior.nothing[drawn] > 0.5) {
    // Points that share a protection fall silent together; then the protection is the first suspect.
    std::size_t sharing = 0;
    std::size_t silent = 0;
    for (std::size_t i = 0; i < x.robot().outputs.size() && i < posterior.absent.size(); ++i) {
      if (x.robot().outputs[i].fed_by != o.fed_by) continue;
      ++sharing;
      if (posterior.absent[i] > 0.5) ++silent;
    }
    if (sharing > 1 && silent == sharing) f.evidence += fmt::format("; everything fed by {} is silent", o.fed_by);
  }
  return f;
}

constexpr double another_from = 0.9;  // below this a rival is named, and no more
constexpr double alike_from = 0.1;    // likelihood over the best motor's

std::string motor_words(const MotorAnswer& seen, const MotorWanted& drawn) {
  if (!seen.start) return "";
  return fmt::format("; starts with {:.2f} A and runs with {:.2f} A, where {:.2f} A and {:.2f} A are drawn",
                     seen.start->value, seen.running->value, drawn.start, drawn.running);
}

// Whether it is the drawn motor that answered; what cannot be told is said.
void judge_motor(const Explanations& x, const robot::Output& o, std::size_t bridge, int sign, SizeSeen size_seen,
                 Finding& f) {
  const MotorAnswer seen =
      motor_answer(x, bridge, size_seen == SizeSeen::yes ? std::optional<double>(f.strength) : std::nullopt);
  const std::vector<MotorCandidate> candidates = motor_candidates(x, o, bridge, sign, seen);
  if (candidates.empty()) {
    f.evidence += "; which motor turns in it was not measured: any of the catalogue would answer the same";
    return;
  }
  double drawn = 0.0;
  for (const MotorCandidate& c : candidates) {
    if (c.device == o.device) drawn = c.probability;
    if (c.device != o.device && c.likelihood >= alike_from) f.alike.push_back(c.device);
  }
  f.evidence +=
      motor_words(seen, motor_wanted(x, o, *x.robot().device_of(o.device).as<robot::MotorDevice>(), bridge, sign));
  if (drawn <= 1.0 - another_from) {
    f.condition = Condition::other_motor;
    f.confidence *= 1.0 - drawn;
    f.evidence += fmt::format("; so answers {} in this gear, not {} ({:.0f} %)", candidates[0].device, o.device,
                              100.0 * candidates[0].probability);
    return;
  }
  f.confidence *= drawn;
  if (f.alike.empty()) return;
  std::string names;
  for (const std::string& name : f.alike) names += (names.empty() ? "" : " or ") + name;
  f.evidence += fmt::format("; {} in its gear would answer nearly the same ({:.0f} % likely)", names,
                            std::ceil(100.0 * (1.0 - drawn)));
}

// What the current speaks for, where it is the current that tells.
std::string current_words(const Explanations& x, const robot::Output& o, const BestState& best, const Finding& f) {
  const OutputState& state = output_states[best.state];
  const auto& all = x.responses(best.bridge);
  const auto mean = [&](auto amperes_in) {
    double sum = 0.0;
    for (const Response& r : all) {
      const bool forward = (r.level > 0.0) == (state.sign >= 0);
      sum += amperes_in(x.drive_of(r),
                        expected_answer(x.robot(), o, x.drive_of(r), forward ? Way::positive : Way::negative));
    }
    return sum / static_cast<double>(all.size());
  };
  const double drawn = mean([](const Drive&, const Expected& e) { return e.amperes; });
  switch (state.condition) {
    case Condition::shorted: {
      const robot::BoardPort& port = x.robot().port_of(*f.found_port);
      return fmt::format(
          "; {:.2f} A are drawn, {:.2f} A the most that {} could take, and {:.2f} A what two leads that "
          "touch let through",
          drawn, mean([](const Drive&, const Expected& e) { return e.stalled_amperes; }), o.device,
          mean([&](const Drive& d, const Expected&) { return shorted_amperes(x.robot(), o, port, d); }));
    }
    case Condition::slips:
      return fmt::format(
          "; running free its motor takes about {:.2f} A, with its load {:.2f} A",
          mean([&](const Drive& d, const Expected&) { return expected_running_free(x.robot(), o, d).amperes; }), drawn);
    case Condition::weak:
    case Condition::drags:
      return fmt::format("; {:.2f} A are drawn; that friction holds it back so far, by its current: {:.0f} % likely",
                         drawn, 100.0 * best.drags);
    default:
      return "";
  }
}

Finding output_finding(Explanations& x, const Posterior& posterior, const Evidence& evidence, std::size_t d) {
  const robot::Output& o = x.robot().outputs[d];
  Finding f{.point = o.name, .drawn_port = o.port, .found_port = {}, .evidence = {}};
  const robot::BoardPort& port = x.robot().port_of(o.port);
  if (port.kind != robot::PortKind::bridge) {
    f.evidence = "no bump can tell of this kind of point";
    return f;
  }
  const bool motor = x.robot().device_of(o.device).as<robot::MotorDevice>() != nullptr;
  const SizeSeen size_seen = !motor || size_was_seen(posterior, d) ? SizeSeen::yes : SizeSeen::no;
  const BestState best = best_state(posterior, d, size_seen);
  if (posterior.absent[d] >= posterior.on(d, best.bridge)) {
    if (x.responses(port.index).empty()) {
      f.evidence = "not bumped";
      return f;
    }
    return absent_finding(x, posterior, evidence, d, port.index);
  }
  f.person_looked = looked_at(evidence, best.bridge);
  f.evidence = bump_words(x, evidence, best.bridge);
  f.confidence = best.confidence;
  if (posterior.on(d, best.bridge) < 0.5 || x.responses(best.bridge).empty()) {
    f.evidence += "; more than one device could have answered";
    return f;
  }
  const OutputState& state = output_states[best.state];
  f.found_port = port_name(x.robot().board, robot::PortKind::bridge, best.bridge);
  f.condition = state.condition;
  const double weight = posterior.weight[d][best.state];
  f.strength = weight > 0.0 ? posterior.strength[d][best.state] / weight : 0.0;
  if (stands(state.condition)) f.strength = 0.0;
  if (motor && state.condition == Condition::answers) {
    judge_motor(x, o, best.bridge, state.sign, size_seen, f);
  }
  f.evidence += current_words(x, o, best, f);
  if (f.confidence < sure_enough) {
    for (const auto& [probability, condition] : best.or_else) {
      f.or_else.push_back(condition);
      f.evidence += fmt::format("; or {} ({:.0f} % likely)", name_of(condition), 100.0 * probability);
    }
  }
  if (size_seen == SizeSeen::no && state.condition == Condition::answers) f.strength = 1.0;
  if (!motor && !stands(state.condition)) {
    f.sign = Sign::as_drawn;
  } else if (best.sign_known) {
    f.sign = (state.sign > 0) == !o.reversed ? Sign::as_drawn : Sign::reversed;
  }
  return f;
}

Finding sensor_finding(const Explanations& x, const SensorMass& m, robot::PortKind kind, const Finding& output) {
  const robot::Board& board = x.robot().board;
  Finding f{.point = m.input->name, .drawn_port = m.input->port, .found_port = {}, .evidence = {}};
  f.person_looked = output.person_looked;
  const auto at = [](SensorState s) { return static_cast<std::size_t>(s); };
  double silent = m.nowhere;
  std::size_t port = 0;
  double top = -1.0;
  for (std::size_t p = 0; p < m.on_port.size(); ++p) {
    silent += m.on_port[p][at(SensorState::silent)];
    double here = 0.0;
    for (const SensorState s : {SensorState::up, SensorState::down, SensorState::one_channel,
                                SensorState::comes_and_goes_up, SensorState::comes_and_goes_down}) {
      here += m.on_port[p][at(s)];
    }
    if (here > top) {
      top = here;
      port = p;
    }
  }
  f.evidence = output.evidence;
  if (m.unobserved >= std::max(top, silent)) {
    f.evidence = "what it senses did not move";
    f.confidence = m.unobserved;
    return f;
  }
  if (silent >= top) {
    f.condition = Condition::silent;
    f.confidence = silent;
    return f;
  }
  const SensorPosterior& s = m.on_port[port];
  f.found_port = port_name(board, kind, port);
  const double steady = s[at(SensorState::up)] + s[at(SensorState::down)];
  const double goes = s[at(SensorState::comes_and_goes_up)] + s[at(SensorState::comes_and_goes_down)];
  const double one = s[at(SensorState::one_channel)];
  if (one >= steady && one >= goes) {
    f.condition = Condition::one_channel_dead;
    f.confidence = one;
    return f;
  }
  const bool is_steady = steady >= goes;
  f.condition = is_steady ? Condition::answers : Condition::intermittent;
  // Seen through this sensor alone, a far too small or large answer is the motor's or the sensor's: both are marked.
  if (is_steady && odd_size(output.condition)) {
    f.condition = output.condition == Condition::strong ? Condition::strong : Condition::weak;
  }
  const double up = is_steady ? s[at(SensorState::up)] : s[at(SensorState::comes_and_goes_up)];
  const double both = is_steady ? steady : goes;
  f.strength = output.strength;
  f.confidence = both;
  if (std::max(up, both - up) < sign_known_from * both) return f;
  f.sign = up * 2.0 > both ? Sign::as_drawn : Sign::reversed;
  f.confidence = std::max(up, both - up);
  return f;
}

}  // namespace

void leave_unseen_untested(const robot::Robot& robot, std::vector<Finding>& findings) {
  for (Finding& f : findings) {
    if (robot.output(f.point) == nullptr || f.person_looked || watched(robot, f.point)) continue;
    if (f.condition == Condition::untested || !f.found_port || stands(f.condition)) continue;
    f.condition = Condition::untested;
    f.evidence += "; no sensor sees it, and nobody has looked";
  }
}

bool watched(const robot::Robot& robot, const std::string& output) {
  return std::any_of(robot.inputs.begin(), robot.inputs.end(), [&output](const robot::Input& in) {
    return in.senses == robot::SensesWhat::output_motion && in.senses_output == output;
  });
}

std::string port_name(const robot::Board& board, robot::PortKind kind, std::size_t index) {
  for (const robot::BoardPort& port : board.ports) {
    if (port.kind == kind && port.index == index) return port.name;
  }
  return "?";
}

std::vector<Finding> findings_of(Explanations& x, const Posterior& posterior, const Evidence& evidence) {
  std::vector<Finding> all;
  for (std::size_t d = 0; d < posterior.output.size(); ++d) {
    all.push_back(output_finding(x, posterior, evidence, d));
  }
  for (const robot::Input& in : x.robot().inputs) {
    for (const SensorMass& m : posterior.encoders) {
      if (m.input == &in) all.push_back(sensor_finding(x, m, robot::PortKind::encoder_input, all[m.output]));
    }
    for (const SensorMass& m : posterior.analogues) {
      if (m.input == &in) all.push_back(sensor_finding(x, m, robot::PortKind::analogue_input, all[m.output]));
    }
  }
  return all;
}

}  // namespace ringout::prove
