#include "prove/hand_proof.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "prove/assignment.h"
#include "prove/expectation.h"
#include "prove/prior.h"
#include "prove/response.h"
#include "prove/wording.h"

namespace ringout::prove {

namespace {

using capture::HandRecord;
using capture::Sample;
using robot::Input;
using robot::PointKind;
using robot::Robot;

bool by_hand(const Input& in) {
  if (in.kind == PointKind::switch_input) return true;
  return in.kind == PointKind::analogue && in.senses != robot::SensesWhat::output_motion;
}

bool senses_motion(const Input& in) {
  return in.senses == robot::SensesWhat::output_motion &&
         (in.kind == PointKind::encoder || in.kind == PointKind::analogue);
}

constexpr int turned_counts = 12;  // three lines of a disc: chatter and one channel alone stay far below
constexpr int turned_raw = 50;     // of an ADC reading, well above noise: 5 % of 10 bits

// What one port did while a hand worked one input: how sure it is that it followed the hand.
struct Followed {
  double log_answer = 0.0;  // log likelihood of "follows this hand" against "does not"
  bool restless = false;
  bool one_channel = false;
  double change = 0.0;  // raw steps, counts or +-1
};

double share_low(const std::vector<Sample>& samples, std::size_t port) {
  if (samples.empty()) return 0.0;
  std::size_t low = 0;
  for (const Sample& s : samples) low += (s.switches >> port & 1U) == 0 ? 1 : 0;
  return static_cast<double>(low) / static_cast<double>(samples.size());
}

int changes(const std::vector<Sample>& samples, std::size_t port) {
  int n = 0;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    if (((samples[i].switches ^ samples[i - 1].switches) >> port & 1U) != 0) ++n;
  }
  return n;
}

// Share of samples at the resting and the worked level; a loose wire reads open part of the time, never closed.
Followed switch_followed(const HandRecord& r, std::size_t port) {
  const double before = share_low(r.before, port);
  const double during = share_low(r.during, port);
  Followed f;
  f.change = during - before;
  f.restless = changes(r.before, port) + changes(r.during, port) + changes(r.after, port) > 4;
  // A steady port follows fully or not at all; a restless one is judged by the shift of its mean.
  const double error = f.restless ? 0.15 : 0.03;
  const double follows = std::abs(std::abs(f.change) - (f.restless ? 0.7 : 1.0)) / (f.restless ? 0.25 : 0.05);
  const double rests = std::abs(f.change) / error;
  const double log_follows = std::max(-0.5 * follows * follows, std::log(1e-5));
  const double log_rests = std::max(-0.5 * rests * rests, std::log(1e-5));
  f.log_answer = log_follows - log_rests;
  return f;
}

Followed analogue_followed(const HandRecord& r, std::size_t channel) {
  const auto mean = [channel](const std::vector<Sample>& samples, double& spread) {
    std::vector<double> v;
    for (const Sample& s : samples) {
      if (channel < s.adc.size()) v.push_back(s.adc[channel]);
    }
    if (v.empty()) return 0.0;
    std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2), v.end());
    const double median = v[v.size() / 2];
    std::vector<double> away;
    for (const double x : v) away.push_back(std::abs(x - median));
    std::nth_element(away.begin(), away.begin() + static_cast<std::ptrdiff_t>(away.size() / 2), away.end());
    spread = std::max(0.5, 1.4826 * away[away.size() / 2]);
    return median;
  };
  double spread_before = 0.5;
  double spread_during = 0.5;
  Followed f;
  f.change = mean(r.during, spread_during) - mean(r.before, spread_before);
  const double error = std::max(spread_before, spread_during);
  const double z = f.change / error;
  // A hand before a range sensor changes it by at least some tens of steps; how much is not known.
  const double log_rests = std::max(-0.5 * z * z, std::log(1e-5));
  const double log_follows = std::abs(f.change) > 12.0 ? std::log(0.5) : std::log(1e-3);
  f.log_answer = log_follows - log_rests;
  f.restless = spread_before > 20.0;
  return f;
}

// Both channels count on and on; one alone toggles where it is.
Followed encoder_followed(const HandRecord& r, std::size_t port) {
  const auto at = [port](const Sample& s) { return port < s.encoders.size() ? s.encoders[port] : 0; };
  const std::int32_t rest = at(r.before.back());
  const std::int32_t quiet = std::abs(at(r.before.back()) - at(r.before.front()));
  std::int32_t widest = 0;
  int toggles = 0;
  std::int32_t last = rest;
  for (const Sample& s : r.during) {
    widest = std::max(widest, std::abs(at(s) - rest));
    toggles += at(s) != last ? 1 : 0;
    last = at(s);
  }
  Followed f;
  f.change = last - rest;
  f.one_channel = widest <= 2 && toggles >= turned_counts / 2;
  const bool counts = widest >= turned_counts + 2 * quiet;
  f.log_answer = counts ? std::log(1e5) : f.one_channel ? std::log(1e3) : std::log(1e-4);
  return f;
}

struct Candidate {
  std::size_t port = 0;  // index within the kind
  Followed followed;
};

struct Asked {
  const Input* input = nullptr;
  const HandRecord* record = nullptr;
  std::vector<Candidate> ports;
};

robot::PortKind port_kind_of(PointKind kind) {
  return kind == PointKind::switch_input ? robot::PortKind::switch_input
         : kind == PointKind::encoder    ? robot::PortKind::encoder_input
                                         : robot::PortKind::analogue_input;
}

std::vector<Candidate> candidates(const Robot& robot, const Input& in, const HandRecord& r) {
  std::vector<Candidate> all;
  for (const robot::BoardPort* port : robot.board.of_kind(port_kind_of(in.kind))) {
    if (in.kind == PointKind::switch_input) {
      all.push_back({port->index, switch_followed(r, port->index)});
    } else if (in.kind == PointKind::encoder) {
      all.push_back({port->index, encoder_followed(r, port->index)});
    } else if (port->adc_channel) {
      all.push_back({port->index, analogue_followed(r, *port->adc_channel)});
    }
  }
  return all;
}

// Joint posterior for the inputs of one kind: who answers on which port, exclusively.
AssignmentPosterior decide(const Robot& robot, const std::vector<Asked>& asked, std::size_t ports,
                           const std::vector<bool>& in_use) {
  AssignmentWeights w;
  w.none.assign(ports, 0.0);
  w.device.assign(ports, std::vector<double>(asked.size(), -1e9));
  w.absent.assign(asked.size(), std::log(prior::sensor_silent));
  for (std::size_t d = 0; d < asked.size(); ++d) {
    const std::size_t drawn = robot.port_of(asked[d].input->port).index;
    for (const Candidate& c : asked[d].ports) {
      const double chance = c.port == drawn
                                ? 1.0 - prior::sensor_silent - prior::sensor_displaced
                                : (in_use[c.port] ? prior::sensor_displaced / 2.0 : prior::sensor_moved_to_spare);
      if (c.port < ports) w.device[c.port][d] = std::log(chance) + c.followed.log_answer;
    }
  }
  return assign(w);
}

std::string hand_words(const Asked& a, const Robot& robot, robot::PortKind kind) {
  std::string moved;
  for (const Candidate& c : a.ports) {
    if (c.followed.log_answer <= 0.0) continue;
    moved += (moved.empty() ? "" : ", ") + port_name(robot.board, kind, c.port);
  }
  if (moved.empty()) moved = "nothing";
  if (!senses_motion(*a.input)) return fmt::format("while {} was worked by hand, {} followed", a.input->name, moved);
  std::string words = fmt::format("while {} was turned by hand, {} followed", a.input->senses_output, moved);
  if (a.record->direction == 0) return words;
  return words + fmt::format("; a person says that she turned it {}",
                             a.record->direction > 0 ? "the way a positive value should" : "the other way");
}

// By the way she says that she turned it.
Sign sign_turned(const Robot& robot, const Asked& a, const Followed& followed) {
  const double wanted = steps_per_radian(robot, *a.input) * a.record->direction;
  if (wanted == 0.0 || followed.change == 0.0) return Sign::unknown;
  return (wanted > 0.0) == (followed.change > 0.0) ? Sign::as_drawn : Sign::reversed;
}

void add_findings(const Robot& robot, const std::vector<Asked>& asked, PointKind point_kind,
                  std::vector<Finding>& found) {
  const robot::PortKind kind = port_kind_of(point_kind);
  const std::size_t ports = robot.board.of_kind(kind).size();
  const AssignmentPosterior posterior = decide(robot, asked, ports, ports_in_use(robot, point_kind, ports));
  for (std::size_t d = 0; d < asked.size(); ++d) {
    const Asked& a = asked[d];
    Finding f{.point = a.input->name, .drawn_port = a.input->port, .found_port = {}, .evidence = {}};
    f.person_looked = true;
    f.evidence = hand_words(a, robot, kind);
    std::size_t best = 0;
    for (std::size_t p = 1; p < ports; ++p) {
      if (posterior.device[p][d] > posterior.device[best][d]) best = p;
    }
    if (posterior.absent[d] >= posterior.device[best][d]) {
      f.condition = kind == robot::PortKind::switch_input ? Condition::stuck : Condition::silent;
      f.confidence = posterior.absent[d];
      found.push_back(std::move(f));
      continue;
    }
    const Followed* followed = nullptr;
    for (const Candidate& c : a.ports) {
      if (c.port == best) followed = &c.followed;
    }
    f.found_port = port_name(robot.board, kind, best);
    f.confidence = posterior.device[best][d];
    f.strength = 1.0;
    f.condition = followed != nullptr && followed->restless ? Condition::intermittent : Condition::answers;
    f.sign = Sign::as_drawn;
    if (senses_motion(*a.input) && followed != nullptr) f.sign = sign_turned(robot, a, *followed);
    if (followed != nullptr && followed->one_channel) {
      f.condition = Condition::one_channel_dead;
      f.sign = Sign::unknown;
    }
    if (const auto* s = robot.device_of(a.input->device).as<robot::SwitchDevice>();
        s != nullptr && followed != nullptr) {
      // Working a normally open switch closes it (low); a normally closed one opens (high).
      const bool closes = followed->change > 0.0;
      if (closes == s->normally_closed) f.sign = Sign::reversed;
    }
    found.push_back(std::move(f));
  }
}

}  // namespace

std::vector<HandRequest> hand_requests(const Robot& robot) {
  std::vector<HandRequest> all;
  for (const Input& in : robot.inputs) {
    if (!by_hand(in)) continue;
    all.push_back(
        {in.name, in.port, in.hand_action.empty() ? fmt::format("work {} by hand", in.name) : in.hand_action});
  }
  return all;
}

std::vector<TurnRequest> turn_requests(const Robot& robot, std::span<const Finding> findings) {
  const auto condition_of = [&](const std::string& point) {
    const auto at = std::find_if(findings.begin(), findings.end(), [&](const Finding& f) { return f.point == point; });
    return at != findings.end() ? at->condition : Condition::untested;
  };
  std::vector<TurnRequest> all;
  for (const Input& in : robot.inputs) {
    if (!senses_motion(in) || condition_of(in.name) != Condition::untested) continue;
    const Condition output = condition_of(in.senses_output);
    if (output == Condition::no_current || output == Condition::shorted || output == Condition::slips) {
      all.push_back({in.name, in.senses_output});
    }
  }
  return all;
}

bool turned_enough(const Robot& robot, const Sample& rest, const Sample& now) {
  for (std::size_t e = 0; e < std::min(rest.encoders.size(), now.encoders.size()); ++e) {
    if (std::abs(now.encoders[e] - rest.encoders[e]) >= 2 * turned_counts) return true;
  }
  for (const robot::BoardPort* port : robot.board.of_kind(robot::PortKind::analogue_input)) {
    const std::size_t c = port->adc_channel.value_or(rest.adc.size());
    if (c < std::min(rest.adc.size(), now.adc.size()) && std::abs(now.adc[c] - rest.adc[c]) >= turned_raw) return true;
  }
  return false;
}

void add_by_hand(const Robot& robot, std::span<const HandRecord> records, std::vector<Finding>& findings) {
  for (Finding& found : find_by_hand(robot, records)) {
    const auto at =
        std::find_if(findings.begin(), findings.end(), [&](const Finding& f) { return f.point == found.point; });
    if (at == findings.end()) {
      findings.push_back(std::move(found));
    } else if (found.condition != Condition::untested) {
      *at = std::move(found);
    }
  }
}

std::vector<Finding> find_by_hand(const Robot& robot, std::span<const HandRecord> records) {
  std::map<PointKind, std::vector<Asked>> asked;
  std::vector<Finding> found;
  for (const Input& in : robot.inputs) {
    if (!by_hand(in) && !senses_motion(in)) continue;
    const HandRecord* last = nullptr;  // a repeated action replaces the one before
    for (const HandRecord& r : records) {
      if (r.input == in.name) last = &r;
    }
    if (last == nullptr) continue;
    if (!last->done || last->before.empty() || last->during.empty()) {
      found.push_back(
          {.point = in.name, .drawn_port = in.port, .found_port = {}, .evidence = "it could not be worked by hand"});
      continue;
    }
    std::vector<Asked>& list = asked[in.kind];
    if (list.size() < most_devices) list.push_back({&in, last, candidates(robot, in, *last)});
  }
  for (const auto& [kind, list] : asked) add_findings(robot, list, kind, found);
  std::map<std::string, std::size_t> order;
  for (std::size_t i = 0; i < robot.inputs.size(); ++i) order[robot.inputs[i].name] = i;
  std::stable_sort(found.begin(), found.end(),
                   [&](const Finding& a, const Finding& b) { return order[a.point] < order[b.point]; });
  return found;
}

Finding told_by_person(const std::string& point, const std::string& port, bool acts) {
  Finding f{.point = point, .drawn_port = port, .found_port = {}, .evidence = {}};
  f.confidence = told_confidence;
  f.person_looked = true;
  if (acts) {
    f.found_port = port;
    f.sign = Sign::as_drawn;
    f.strength = 1.0;
    f.condition = Condition::answers;
    f.evidence = "a person has seen it act as drawn";
  } else {
    f.condition = Condition::silent;
    f.evidence = "a person has tried it, and it did not act as drawn";
  }
  return f;
}

void put_told(std::span<const Finding> told, std::vector<Finding>& findings) {
  for (const Finding& t : told) {
    std::erase_if(findings, [&](const Finding& f) { return f.point == t.point; });
    findings.push_back(t);
  }
}

}  // namespace ringout::prove
