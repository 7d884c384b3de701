#include "cli/find/complaint.h"

#include <algorithm>

#include "base/diagnostic.h"
#include "find/interview_run.h"
#include "find/robot/robot_model.h"

namespace ringout::cli {
namespace {

constexpr const char* whole_robot = "robot";
constexpr const char* point_id = "trouble.point";

std::vector<faults::Symptom> symptoms_at(const robot::Robot& robot, const std::string& point) {
  if (const robot::Output* output = robot.output(point)) return faults::symptoms_of(output->kind);
  if (const robot::Input* input = robot.input(point)) return faults::symptoms_of(input->kind);
  return point == whole_robot ? faults::symptoms_of_the_robot() : std::vector<faults::Symptom>();
}

std::string listed(const std::vector<faults::Symptom>& symptoms) {
  std::string out;
  for (const faults::Symptom s : symptoms)
    out += (out.empty() ? "\"" : ", \"") + std::string(faults::name_of(s)) + "\"";
  return out;
}

// `symptom` as written; of "another acts" also which: "another_acts:mist_pump".
Result<faults::Trouble> trouble_of(const robot::Robot& robot, const std::string& point, std::string symptom,
                                   std::string other = {}) {
  const std::vector<faults::Symptom> possible = symptoms_at(robot, point);
  if (possible.empty()) {
    std::vector<std::string> names{whole_robot};
    for (const robot::Output& o : robot.outputs) names.push_back(o.name);
    for (const robot::Input& i : robot.inputs) names.push_back(i.name);
    const std::string near = nearest(point, names);
    return failure(ErrorKind::bad_input, "find.trouble", robot.name + " has no point " + point,
                   near.empty() ? "name an output or an input, or robot for all of it" : "did you mean " + near + "?");
  }
  if (const std::size_t colon = symptom.find(':'); colon != std::string::npos) {
    other = symptom.substr(colon + 1);
    symptom.resize(colon);
  }
  if (!other.empty() && (other == point || robot.output(other) == nullptr)) {
    std::vector<std::string> names;
    for (const robot::Output& o : robot.outputs) {
      if (o.name != point) names.push_back(o.name);
    }
    const std::string near = nearest(other, names);
    return failure(ErrorKind::bad_input, "find.trouble",
                   other + " is no other output that could act instead of " + point,
                   near.empty() ? "name the output that acts, or leave it out" : "did you mean " + near + "?");
  }
  for (char& c : symptom) c = c == '_' ? ' ' : c;
  for (const faults::Symptom one : possible) {
    if (faults::name_of(one) == symptom) return faults::Trouble{point == whole_robot ? "" : point, one, other};
  }
  return failure(ErrorKind::bad_input, "find.trouble", "\"" + symptom + "\" is nothing that can be wrong with " + point,
                 "write one of " + listed(possible));
}

Result<faults::Complaint> whole(const robot::Robot& robot, faults::Complaint complaint) {
  const std::vector<std::string> wrong = faults::complaint_problems(robot, complaint);
  if (wrong.empty()) return complaint;
  std::string all;
  for (const std::string& one : wrong) all += (all.empty() ? "" : "; ") + one;
  return failure(ErrorKind::bad_input, "find.trouble", all, "name each point once, with what it does");
}

// The questions until all is said; each but the first can be gone back from, and quit.
class ComplaintTalk {
 public:
  ComplaintTalk(const robot::Robot& robot, session::Person& person, const BeforeAsking& asked)
      : robot_(robot), person_(person), asked_(asked) {}

  Result<faults::Complaint> complaint() {
    while (!all_said_) {
      const auto point = ask(which_point());
      if (!point) return tl::unexpected(point.error());
      if (*point == no_more) break;
      if (*point == find::says::back) {
        said_.troubles.pop_back();
      } else if (auto asked = ask_about(*point); !asked) {
        return tl::unexpected(asked.error());
      }
    }
    return whole(robot_, std::move(said_));
  }

 private:
  static constexpr const char* no_more = "no_more";
  static constexpr const char* not_listed = "not_known";

  Result<std::string> ask(session::Question question) {
    if (!said_.troubles.empty() || question.id != point_id) question.choices.push_back({find::says::back, "back", 'b'});
    question.choices.push_back({find::says::quit, "quit", 'q'});
    if (asked_) asked_(question);
    auto said = person_.choose(question);
    if (said && *said == find::says::quit)
      return failure(ErrorKind::interrupted, "find.quit", "quit before a case was begun");
    return said;
  }

  // What it does, and whether that is all.
  Result<void> ask_about(const std::string& point) {
    const auto symptom = ask(which_symptom(point));
    if (!symptom) return tl::unexpected(symptom.error());
    if (*symptom == find::says::back) return {};
    auto trouble = trouble_of(robot_, point, *symptom);
    if (!trouble) return tl::unexpected(trouble.error());
    if (trouble->symptom == faults::Symptom::another_acts) {
      const auto other = ask(which_other(point));
      if (!other) return tl::unexpected(other.error());
      if (*other == find::says::back) return {};
      if (*other != not_listed) trouble->other = *other;
    }
    said_.troubles.push_back(*std::move(trouble));
    all_said_ = point == whole_robot || said_.troubles.size() >= faults::most_points;
    if (all_said_) return {};
    const auto more = ask({.id = "trouble.more",
                           .topic = session::Topic::confirm,
                           .text = "Does anything else not work?",
                           .choices = {{"no", "no, that is all"}, {"yes", "yes"}}});
    if (!more) return tl::unexpected(more.error());
    if (*more == find::says::back) said_.troubles.pop_back();
    all_said_ = *more == "no";
    return {};
  }

  session::Question which_point() const {
    const bool first = said_.troubles.empty();
    session::Question out{.id = point_id,
                          .topic = session::Topic::confirm,
                          .text = first ? "What does not work?" : "What else does not work?",
                          .choices = {}};
    const auto offer = [&](const std::string& name) {
      const auto is_it = [&](const faults::Trouble& t) { return t.point == name; };
      if (std::none_of(said_.troubles.begin(), said_.troubles.end(), is_it)) out.choices.push_back({name, name});
    };
    for (const robot::Output& o : robot_.outputs) offer(o.name);
    for (const robot::Input& i : robot_.inputs) offer(i.name);
    out.choices.push_back(first ? session::Choice{whole_robot, "the whole robot"}
                                : session::Choice{no_more, "nothing else"});
    return out;
  }

  session::Question which_symptom(const std::string& point) const {
    session::Question out{.id = "trouble.symptom." + point,
                          .topic = session::Topic::confirm,
                          .text = point == whole_robot ? "What does the robot do?" : "What does " + point + " do?",
                          .choices = {}};
    for (const faults::Symptom s : symptoms_at(robot_, point))
      out.choices.push_back({find::id_of(std::string(faults::name_of(s))), std::string(faults::words_of(s))});
    return out;
  }

  session::Question which_other(const std::string& point) const {
    session::Question out{.id = "trouble.other." + point,
                          .topic = session::Topic::confirm,
                          .text = "Which one acts instead of " + point + "?",
                          .choices = {}};
    for (const robot::Output& o : robot_.outputs) {
      if (o.name != point) out.choices.push_back({o.name, o.name});
    }
    out.choices.push_back({not_listed, "none of these, or not known"});
    return out;
  }

  const robot::Robot& robot_;
  session::Person& person_;
  const BeforeAsking& asked_;
  faults::Complaint said_;
  bool all_said_ = false;
};

}  // namespace

std::string trouble_text(const faults::Trouble& trouble) {
  const std::string words(faults::words_of(trouble.symptom));
  if (trouble.symptom == faults::Symptom::another_acts)
    return (trouble.other.empty() ? "another thing" : trouble.other) + " acts instead of " + trouble.point;
  return trouble.point.empty() ? words : trouble.point + " " + words;
}

Result<faults::Complaint> written_complaint(const robot::Robot& robot, const std::vector<std::string>& written) {
  faults::Complaint out;
  for (const std::string& one : written) {
    const std::size_t equals = one.find('=');
    if (equals == std::string::npos) {
      return failure(ErrorKind::bad_input, "find.trouble", "\"" + one + "\" does not say what is wrong",
                     "write POINT=SYMPTOM, as in clamp=nothing");
    }
    auto trouble = trouble_of(robot, one.substr(0, equals), one.substr(equals + 1));
    if (!trouble) return tl::unexpected(trouble.error());
    out.troubles.push_back(*std::move(trouble));
  }
  return whole(robot, std::move(out));
}

Result<faults::Complaint> kept_complaint(const robot::Robot& robot, const find::CaseHead& head) {
  faults::Complaint out;
  for (const std::vector<std::string>& fields : head.symptoms) {
    auto trouble =
        trouble_of(robot, fields.front(), fields.size() > 1 ? fields[1] : "", fields.size() > 2 ? fields[2] : "");
    if (!trouble) return tl::unexpected(trouble.error());
    out.troubles.push_back(*std::move(trouble));
  }
  return whole(robot, std::move(out));
}

Result<faults::Complaint> asked_complaint(const robot::Robot& robot, session::Person& person,
                                          const BeforeAsking& asked) {
  return ComplaintTalk(robot, person, asked).complaint();
}

std::vector<std::vector<std::string>> symptom_lines(const faults::Complaint& complaint) {
  std::vector<std::vector<std::string>> out;
  for (const faults::Trouble& t : complaint.troubles) {
    out.push_back({t.point.empty() ? whole_robot : t.point, std::string(faults::name_of(t.symptom))});
    if (!t.other.empty()) out.back().push_back(t.other);
  }
  return out;
}

}  // namespace ringout::cli
