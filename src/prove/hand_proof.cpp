#include "prove/hand_proof.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "prove/assignment.h"
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

// What one port did while a hand worked one input: how sure it is that it followed the hand.
struct Followed {
  double log_answer = 0.0;  // log likelihood of "follows this hand" against "does not"
  bool restless = false;
  double change = 0.0;  // raw steps or +-1
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

struct Candidate {
  std::size_t port = 0;  // index within the kind
  Followed followed;
};

struct Asked {
  const Input* input = nullptr;
  const HandRecord* record = nullptr;
  std::vector<Candidate> ports;
};

std::vector<Candidate> candidates(const Robot& robot, const Input& in, const HandRecord& r) {
  std::vector<Candidate> all;
  const bool is_switch = in.kind == PointKind::switch_input;
  const auto kind = is_switch ? robot::PortKind::switch_input : robot::PortKind::analogue_input;
  for (const robot::BoardPort* port : robot.board.of_kind(kind)) {
    if (is_switch) {
      all.push_back({port->index, switch_followed(r, port->index)});
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
  return fmt::format("while {} was worked by hand, {} followed", a.input->name, moved.empty() ? "nothing" : moved);
}

void add_findings(const Robot& robot, const std::vector<Asked>& asked, robot::PortKind kind,
                  std::vector<Finding>& found) {
  const std::size_t ports = robot.board.of_kind(kind).size();
  const PointKind point_kind = kind == robot::PortKind::switch_input ? PointKind::switch_input : PointKind::analogue;
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

std::vector<Finding> find_by_hand(const Robot& robot, std::span<const HandRecord> records) {
  std::vector<Asked> switches;
  std::vector<Asked> analogues;
  std::vector<Finding> found;
  for (const Input& in : robot.inputs) {
    if (!by_hand(in)) continue;
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
    auto& list = in.kind == PointKind::switch_input ? switches : analogues;
    if (list.size() < most_devices) list.push_back({&in, last, candidates(robot, in, *last)});
  }
  if (!switches.empty()) add_findings(robot, switches, robot::PortKind::switch_input, found);
  if (!analogues.empty()) add_findings(robot, analogues, robot::PortKind::analogue_input, found);
  std::map<std::string, std::size_t> order;
  for (std::size_t i = 0; i < robot.inputs.size(); ++i) order[robot.inputs[i].name] = i;
  std::stable_sort(found.begin(), found.end(),
                   [&](const Finding& a, const Finding& b) { return order[a.point] < order[b.point]; });
  return found;
}

}  // namespace ringout::prove
