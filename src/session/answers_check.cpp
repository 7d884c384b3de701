// The lines of a file of answers against the questions that a session may ask of this robot (docs/answers.md).
#include <algorithm>

#include "prove/explanation.h"
#include "prove/hand_proof.h"
#include "session/answers.h"

namespace ringout::session {
namespace {

using List = std::vector<std::string>;

std::string listed(const List& all) {
  std::string text;
  for (const std::string& one : all) text += (text.empty() ? "" : ", ") + one;
  return text;
}

// What may be seen to act: every output, with its way where it has one.
List seen_on_a_port(const robot::Robot& robot) {
  List all;
  for (const robot::Output& o : robot.outputs) {
    if (prove::turns(robot, o)) {
      all.push_back(o.name + "+");
      all.push_back(o.name + "-");
    } else {
      all.push_back(o.name);
    }
  }
  all.insert(all.end(), {"nothing", "something_else"});
  return all;
}

bool stands_for(const std::string& one, const std::string& other) {
  return one == other || begins_like(one, other) || begins_like(other, one);
}

// A few are listed; of many the nearest is named.
std::string hint_of(const List& choices, const std::string& answer) {
  constexpr std::size_t few = 24;
  List whole;
  for (const std::string& choice : choices) {
    if (!choice.ends_with('*')) whole.push_back(choice);
  }
  const std::string near = whole.size() > few ? nearest(answer, whole) : "";
  if (whole.size() <= few) return "write one of " + listed(choices);
  return near.empty() ? "docs/answers.md says what may be answered" : "did you mean " + near + "?";
}

}  // namespace

std::vector<Asked> asked_of(const robot::Robot& robot) {
  const List hands{"done", "cannot"};
  std::vector<Asked> all{
      {"cautions", {}}, {"disconnect.open", hands}, {"disconnect.close", hands}, {"turn_by_hand", {"yes", "no"}}};
  for (const char* id : {"trouble.point", "trouble.more"}) all.push_back({id, {}});
  const auto seen_before = [&](const std::string& point, robot::PointKind kind) {
    if (!robot::agent_works(kind)) all.push_back({"acts." + point, {"yes", "no", "not_yet"}});
    all.push_back({"trouble.symptom." + point, {}});
  };
  for (const robot::Output& o : robot.outputs) {
    seen_before(o.name, o.kind);
    all.push_back({"trouble.other." + o.name, {}});
    if (o.mechanism && o.mechanism->travel) all.push_back({"clearance." + o.name, {"yes", "no"}});
  }
  for (const prove::HandRequest& request : prove::hand_requests(robot)) all.push_back({"work." + request.input, hands});
  for (const robot::Input& i : robot.inputs) {
    seen_before(i.name, i.kind);
    if (i.senses != robot::SensesWhat::output_motion) continue;
    all.push_back({"work." + i.name, hands});
    all.push_back({"turn." + i.name, hands});
    all.push_back({"turned." + i.name, {i.senses_output + "+", i.senses_output + "-", "not_known"}});
  }
  const List acted = seen_on_a_port(robot);
  for (const robot::BoardPort& port : robot.board.ports) {
    if (port.kind != robot::PortKind::bridge) continue;
    all.push_back({"acted." + port.name, acted});
    all.push_back({"acted_back." + port.name, acted});
  }
  all.push_back({"trouble.symptom.robot", {}});
  return all;
}

void check_answers(const Answers& answers, const robot::Robot& robot, const SourceText& text, Diagnostics& found) {
  std::vector<Asked> all = asked_of(robot);
  for (const char* id :
       {"check.*", "ready.*", "repair.*", "call", "prove", "doubt", "found", "instead", "take_back", "stuck"}) {
    all.push_back({id, {}});
  }
  check_answers(answers, all, text, found);
}

void check_answers(const Answers& answers, const std::vector<Asked>& all, const SourceText& text, Diagnostics& found) {
  List ids;
  for (const Asked& asked : all) {
    if (!asked.id.ends_with('*')) ids.push_back(asked.id);
  }
  for (const Answers::Line& line : answers.lines()) {
    bool asked_for = line.id == "*";
    bool any_answer = line.id == "*";
    List choices;
    for (const Asked& asked : all) {
      if (!stands_for(asked.id, line.id)) continue;
      asked_for = true;
      any_answer = any_answer || asked.answers.empty();
      for (const std::string& answer : asked.answers) {
        if (std::find(choices.begin(), choices.end(), answer) == choices.end()) choices.push_back(answer);
      }
    }
    if (!asked_for) {
      const std::string like = nearest(line.id, ids);
      found.error(text, line.id_at, "answers.unknown-id", "nothing asks for " + line.id,
                  like.empty() ? "docs/answers.md lists the ids" : "did you mean " + like + "?");
    } else if (!any_answer && std::none_of(choices.begin(), choices.end(), [&](const std::string& choice) {
                 return choice == line.answer || begins_like(line.answer, choice);
               })) {
      found.error(text, line.at, "answers.not-a-choice", "\"" + line.answer + "\" is no answer to " + line.id,
                  hint_of(choices, line.answer));
    }
  }
}

}  // namespace ringout::session
