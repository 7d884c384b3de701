#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/prior.h"
#include "prove/wording.h"

namespace ringout::prove {

namespace {

constexpr double plainly_nothing = 0.999;  // a look that will hardly show anything is not worth a person's time
constexpr double look_again_below = 0.9;   // a port already looked at is asked about once more below this
constexpr std::size_t most_looks = 2;

struct Predicted {
  Choice choice;
  double probability = 0.0;
};

Choice device_choice(const robot::Robot& robot, const robot::Output& o, int direction) {
  Choice c{.text = {}, .saw = Saw::device, .point = o.name, .direction = turns(robot, o) ? direction : 0};
  if (c.direction == 0) {
    c.text = o.visible_sign.empty() ? fmt::format("{}: on", o.name) : fmt::format("{}: {}", o.name, o.visible_sign);
  } else if (direction > 0) {
    c.text =
        fmt::format("{}: {}", o.name, o.positive_means.empty() ? "moves in its positive direction" : o.positive_means);
  } else {
    c.text = o.positive_means.empty() ? fmt::format("{}: moves in its negative direction", o.name)
                                      : fmt::format("{}: the opposite of \"{}\"", o.name, o.positive_means);
  }
  return c;
}

// What the person will answer, as far as the sensors tell: every output both ways, nothing, something else.
std::vector<Predicted> predict(const robot::Robot& robot, const Posterior& posterior, std::size_t bridge) {
  std::vector<Predicted> all;
  double nothing = posterior.nothing[bridge];
  for (std::size_t d = 0; d < posterior.output.size(); ++d) {
    double by_sign[2] = {0.0, 0.0};
    for (std::size_t k = 0; k < output_states.size(); ++k) {
      const double mass = posterior.output[d][bridge][k];
      const Condition c = output_states[k].condition;
      if (stands(c)) {
        nothing += mass;
      } else if (c == Condition::slips) {
        nothing += prior::slips_wholly * mass;
        by_sign[output_states[k].sign > 0 ? 0 : 1] += (1.0 - prior::slips_wholly) * mass;
      } else {
        by_sign[output_states[k].sign > 0 ? 0 : 1] += mass;
      }
    }
    all.push_back({device_choice(robot, robot.outputs[d], 1), by_sign[0]});
    if (turns(robot, robot.outputs[d])) all.push_back({device_choice(robot, robot.outputs[d], -1), by_sign[1]});
  }
  all.push_back({{.text = "nothing", .saw = Saw::nothing, .point = {}}, nothing});
  all.push_back({{.text = "something else", .saw = Saw::something_else, .point = {}}, posterior.not_drawn[bridge]});
  std::stable_sort(all.begin(), all.end(),
                   [](const Predicted& a, const Predicted& b) { return a.probability > b.probability; });
  return all;
}

double entropy(const std::vector<Predicted>& all) {
  double bits = 0.0;
  for (const Predicted& p : all) {
    if (p.probability > 0.0) bits -= p.probability * std::log2(p.probability);
  }
  return bits;
}

std::string look_text(const std::string& port) {
  return fmt::format("{} is bumped, first one way, then back. What acted, and which way did it go first?", port);
}

std::string why_ask(const std::vector<Predicted>& all, double settle_at) {
  if (all[0].probability >= std::min(settle_at, 0.999)) {
    return "the sensors agree, but only a look can tell that what they report is what really moves";
  }
  return fmt::format("the sensors leave \"{}\" ({:.0f} %) and \"{}\" ({:.0f} %) open", all[0].choice.text,
                     all[0].probability * 100.0, all[1].choice.text, all[1].probability * 100.0);
}

}  // namespace

std::vector<Question> questions_of(Explanations& x, const Posterior& posterior, const Evidence& evidence,
                                   const IdentifyOptions& options) {
  struct Ranked {
    Question question;
    double bits = 0.0;
  };
  std::vector<Ranked> ranked;
  for (std::size_t b = 0; b < x.bridges(); ++b) {
    if (x.responses(b).empty()) continue;
    const auto looks = static_cast<std::size_t>(
        std::count_if(evidence.looks.begin(), evidence.looks.end(), [b](const Look& l) { return l.bridge == b; }));
    const std::vector<Predicted> all = predict(x.robot(), posterior, b);
    const bool nothing_likely = all[0].choice.saw == Saw::nothing;
    const double enough = looks > 0        ? look_again_below
                          : nothing_likely ? std::min(options.settle_at, plainly_nothing)
                                           : options.settle_at;
    const bool unseen = looks == 0 && all[0].choice.saw == Saw::device && !watched(x.robot(), all[0].choice.point);
    const bool first = options.settle_at >= IdentifyOptions::first_proving && looks == 0 && !nothing_likely;
    if ((all[0].probability >= enough && !unseen && !first) || looks >= most_looks) continue;
    Question q;
    q.bridge = static_cast<std::uint8_t>(b);
    q.port = port_name(x.robot().board, robot::PortKind::bridge, b);
    q.text = look_text(q.port);
    q.why = unseen ? "no sensor sees what moves here" : why_ask(all, options.settle_at);
    for (const Predicted& p : all) q.choices.push_back(p.choice);
    ranked.push_back({std::move(q), entropy(all)});
  }
  std::stable_sort(ranked.begin(), ranked.end(), [](const Ranked& a, const Ranked& b) { return a.bits > b.bits; });
  std::vector<Question> questions;
  for (Ranked& r : ranked) questions.push_back(std::move(r.question));
  return questions;
}

Question look_for(const robot::Robot& robot, std::uint8_t bridge, const std::string& expected) {
  Question q;
  q.bridge = bridge;
  q.port = port_name(robot.board, robot::PortKind::bridge, bridge);
  q.text = look_text(q.port);
  q.why = "a person looks at one port by itself";
  for (const bool wanted : {true, false}) {
    for (const robot::Output& o : robot.outputs) {
      if ((o.name == expected) != wanted) continue;
      q.choices.push_back(device_choice(robot, o, 1));
      if (turns(robot, o)) q.choices.push_back(device_choice(robot, o, -1));
    }
  }
  q.choices.push_back({.text = "nothing", .saw = Saw::nothing, .point = {}});
  q.choices.push_back({.text = "something else", .saw = Saw::something_else, .point = {}});
  return q;
}

}  // namespace ringout::prove
