#include "session/answers_person.h"

#include <algorithm>

namespace ringout::session {
namespace {

std::string place_of(const Answers& answers, const Answers::Line& line) {
  return answers.file() + ":" + std::to_string(line.at.line);
}

std::string listed(const std::vector<Choice>& choices) {
  std::string all;
  for (const Choice& choice : choices) all += (all.empty() ? "" : ", ") + choice.id;
  return all;
}

tl::unexpected<Error> missing(const Answers& answers, const std::string& id, const std::string& asked,
                              const std::string& allowed) {
  return failure(ErrorKind::bad_input, "answers.missing",
                 answers.file() + " has no answer for " + id + " (\"" + asked + "\")",
                 "add a line: " + id + " = one of " + allowed);
}

}  // namespace

Result<std::string> AnswersPerson::choose(const Question& question) {
  const auto line = answers_.next(question.id);
  if (!line && !question.unless_said.empty()) return question.unless_said;
  if (!line) return missing(answers_, question.id, question.text, listed(question.choices));
  const bool known = std::any_of(question.choices.begin(), question.choices.end(),
                                 [&](const Choice& choice) { return choice.id == line->answer; });
  if (!known) {
    return failure(ErrorKind::bad_input, "answers.not-a-choice",
                   place_of(answers_, *line) + ": \"" + line->answer + "\" is no answer to " + question.id,
                   "write one of " + listed(question.choices));
  }
  return line->answer;
}

Result<void> AnswersPerson::acknowledge(const std::vector<std::string>& cautions) {
  const auto line = answers_.next("cautions");
  if (!line) return missing(answers_, "cautions", cautions.empty() ? "" : cautions.front() + " …", "yes, no");
  if (line->answer == "yes") return {};
  return failure(ErrorKind::stopped, "session.cautions-not-acknowledged",
                 place_of(answers_, *line) + ": the cautions are not acknowledged, so nothing moves",
                 "make the robot and the people around it safe first; then answer: cautions = yes");
}

Result<void> AnswersPerson::begin(const HandAction& action) {
  current_ = Progress::done;
  if (action.hand != Hand::watch && action.hand != Hand::let_go) {
    const auto line = answers_.next(action.id);
    if (!line) return missing(answers_, action.id, action.text, "done, cannot");
    if (line->answer == "cannot") {
      current_ = Progress::cannot;
      return {};
    }
    if (line->answer != "done") {
      return failure(ErrorKind::bad_input, "answers.not-a-choice",
                     place_of(answers_, *line) + ": \"" + line->answer + "\" is no answer to " + action.id,
                     "write done or cannot");
    }
  }
  return hands_ ? carry_out(*hands_, action) : Result<void>{};
}

Progress AnswersPerson::progress(const HandAction&) {
  return current_;
}

Result<void> carry_out(plant::Bystander& hands, const HandAction& action) {
  switch (action.hand) {
    case Hand::watch: {
      // What moved before this look is of no account.
      const auto before = hands.look();
      if (!before) return tl::unexpected<Error>(before.error());
      return {};
    }
    case Hand::work_sensor:
    case Hand::turn:
      return hands.work_by_hand(action.point, true);
    case Hand::let_go:
      return hands.work_by_hand(action.point, false);
    case Hand::open_disconnect:
      return hands.open_disconnect(true);
    case Hand::close_disconnect:
      return hands.open_disconnect(false);
  }
  return {};
}

}  // namespace ringout::session
