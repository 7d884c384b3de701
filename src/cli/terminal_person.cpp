#include "cli/terminal_person.h"

#include <unistd.h>

#include "cli/choices.h"
#include "os/clock.h"
#include "os/interrupts.h"
#include "session/answers_person.h"

namespace ringout::cli {
namespace {

constexpr Duration glance = Duration::milliseconds(50);
constexpr const char* not_answered = "session.interrupted";

tl::unexpected<Error> interrupted() {
  return failure(ErrorKind::interrupted, not_answered, "interrupted");
}

// Where there is a controller, whatever waits for an answer holds nothing: said where a person has ended the waiting.
template <class Value>
Result<Value> outputs_off(Result<Value> answer) {
  if (!answer && answer.error().id == not_answered) answer.error().message += "; outputs are off";
  return answer;
}

}  // namespace

Result<std::string> read_line() {
  std::string line;
  while (true) {
    if (os::interrupted()) return interrupted();
    const os::Readiness ready = os::wait_readable(STDIN_FILENO, os::monotonic_now() + glance);
    if (ready == os::Readiness::deadline) continue;
    char letter = 0;
    const ssize_t got = ::read(STDIN_FILENO, &letter, 1);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) {
      if (!line.empty()) return line;
      return failure(ErrorKind::bad_input, "cli.no-answer", "the input ended before the question was answered",
                     "answer in a terminal, or give a file with --answers");
    }
    if (letter == '\n') return line;
    if (letter != '\r' && (letter != ' ' || !line.empty())) line += letter;
  }
}

Result<std::string> TerminalPerson::choose(const session::Question& question) {
  wait_for_lines();
  std::string text = "\n";
  if (question.topic != session::Topic::step) text += wrapped(question.text, 98, 0) + "\n";
  if (question.topic == session::Topic::what_acted) text += seen();
  terminal_.print(text + choices_text(question.choices, ""));
  while (true) {
    terminal_.print(typed_text(question.choices) + ": ");
    const auto line = read_line();
    if (!line) return tl::unexpected(line.error());
    const std::vector<std::string> meant = choices_meant(question.choices, *line);
    if (meant.size() == 1) return meant.front();
    if (meant.size() > 1) {
      terminal_.print(choices_text(question.choices, *line));
      continue;
    }
    terminal_.print(not_meant_text(question.choices, *line));
    terminal_.record("{\"event\": \"not_understood\"}\n");
  }
}

Result<void> TerminalPerson::acknowledge(const std::vector<std::string>& cautions) {
  wait_for_lines();
  std::string text = "\nBefore anything moves:\n";
  for (const auto& caution : cautions) text += "  - " + wrapped(caution, 94, 4) + "\n";
  terminal_.print(text + "All of this holds? Write yes: ");
  const auto line = read_line();
  if (!line) return tl::unexpected(line.error());
  if (*line == "yes") return {};
  return failure(ErrorKind::stopped, "cli.cautions-not-acknowledged",
                 "the cautions were not acknowledged, nothing moved", "make all of them true, then write yes");
}

// The run control may still repeat when a question comes; its keys are no part of the answer.
void TerminalPerson::wait_for_lines() {
  keys_.reset();
  os::drop_typed_ahead(STDIN_FILENO);
}

Result<void> TerminalPerson::begin(const session::HandAction& action) {
  const bool reports = action.hand != session::Hand::watch;
  if (reports) os::drop_typed_ahead(STDIN_FILENO);
  std::string text = wrapped(action.text, 98, 0) + "\n";
  if (reports) text += "  d: done    c: cannot be done\n";
  terminal_.print(text);
  if (!reports) {
    return hands_ != nullptr ? session::carry_out(*hands_, action) : Result<void>{};
  }
  if (take_keys()) return {};
  return failure(ErrorKind::bad_input, "terminal.none", "hands cannot be reported without a terminal",
                 "run it in a terminal, or give a file with --answers");
}

// What the simulated robot would show her.
std::string TerminalPerson::seen() const {
  if (hands_ == nullptr) return "";
  const auto looked = hands_->look();
  if (!looked) return "";
  std::string text;
  for (const auto& one : *looked) {
    text += (text.empty() ? "" : ", ") + one.point + (one.direction > 0 ? " +" : one.direction < 0 ? " -" : " on");
  }
  return "  (simulated robot; to be seen: " + (text.empty() ? "nothing" : text) + ")\n";
}

session::Progress TerminalPerson::progress(const session::HandAction& action) {
  if (!take_keys()) return session::Progress::cannot;
  const auto key = keys_->next(os::monotonic_now());
  if (!key) return session::Progress::waiting;
  if (*key == 'd' || *key == '\n' || *key == '\r') {
    const bool done = hands_ == nullptr || session::carry_out(*hands_, action).has_value();
    return done ? session::Progress::done : session::Progress::cannot;
  }
  return *key == 'c' ? session::Progress::cannot : session::Progress::waiting;
}

bool TerminalPerson::holding() {
  if (!take_keys()) return false;
  const Instant now = os::monotonic_now();
  // What was typed while nobody looked tells nothing about now.
  if (!looked_at_ || now - *looked_at_ > os::HoldKey::Times{}.release) {
    os::drop_typed_ahead(STDIN_FILENO);
    hold_.other_key();
  }
  looked_at_ = now;
  while (const auto key = keys_->next(now)) {
    if (*key == ' ') {
      hold_.pressed(now);
    } else {
      hold_.other_key();
    }
  }
  return hold_.held(now);
}

bool TerminalPerson::wants_to_end() {
  return os::interrupted();
}

bool TerminalPerson::take_keys() {
  if (keys_) return true;
  auto taken = os::TerminalKeys::take(STDIN_FILENO);
  if (!taken) return false;
  keys_.emplace(std::move(*taken));
  return true;
}

Result<std::string> InterruptiblePerson::choose(const session::Question& question) {
  return outputs_off(person_.choose(question));
}
Result<void> InterruptiblePerson::acknowledge(const std::vector<std::string>& cautions) {
  return outputs_off(person_.acknowledge(cautions));
}
bool InterruptiblePerson::holding() {
  return !os::interrupted() && person_.holding();
}
bool InterruptiblePerson::wants_to_end() {
  return os::interrupted() || person_.wants_to_end();
}

}  // namespace ringout::cli
