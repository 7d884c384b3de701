// The person at this terminal: she is asked in text, answers by line, and holds the run control by a key that repeats.
#pragma once

#include <optional>
#include <string>

#include "cli/terminal.h"
#include "os/hold_key.h"
#include "os/terminal_keys.h"
#include "plant/bystander.h"
#include "session/person.h"

namespace ringout::cli {

// One line of standard input without its end and without spaces before it, waiting in small steps so that the interrupt
// key is seen. Errors: session.interrupted, cli.no-answer (the input has ended).
[[nodiscard]] Result<std::string> read_line();

class TerminalPerson : public session::Person {
 public:
  // On a simulated robot `hands` does what she says is done, and tells what there is to be seen; else null.
  TerminalPerson(const Terminal& terminal, plant::Bystander* hands) : terminal_(terminal), hands_(hands) {}

  [[nodiscard]] Result<std::string> choose(const session::Question& question) override;
  [[nodiscard]] Result<void> acknowledge(const std::vector<std::string>& cautions) override;
  [[nodiscard]] Result<void> begin(const session::HandAction& action) override;
  [[nodiscard]] session::Progress progress(const session::HandAction& action) override;
  [[nodiscard]] session::RunControl run_control() const override { return session::RunControl::hold_to_run; }
  [[nodiscard]] bool holding() override;
  [[nodiscard]] bool wants_to_end() override;

 private:
  [[nodiscard]] bool take_keys();
  void wait_for_lines();

  [[nodiscard]] std::string seen() const;

  const Terminal& terminal_;
  plant::Bystander* hands_;
  std::optional<os::TerminalKeys> keys_;  // only while single keys are wanted
  os::HoldKey hold_;
  std::optional<Instant> looked_at_;  // by holding()
};

// Whoever takes the person's part beside a controller, the interrupt key of this terminal ends the job.
class InterruptiblePerson : public session::Person {
 public:
  explicit InterruptiblePerson(session::Person& person) : person_(person) {}

  [[nodiscard]] Result<std::string> choose(const session::Question& question) override;
  [[nodiscard]] Result<void> acknowledge(const std::vector<std::string>& cautions) override;
  [[nodiscard]] Result<void> begin(const session::HandAction& action) override { return person_.begin(action); }
  [[nodiscard]] session::Progress progress(const session::HandAction& action) override {
    return person_.progress(action);
  }
  [[nodiscard]] session::RunControl run_control() const override { return person_.run_control(); }
  [[nodiscard]] bool holding() override;
  [[nodiscard]] bool wants_to_end() override;

 private:
  session::Person& person_;
};

}  // namespace ringout::cli
