// The simulated bystander takes the person's part: she does what she is asked and says what she saw. For simulated
// robots only; whoever prints must say that nobody real was asked.
#pragma once

#include "plant/bystander.h"
#include "session/person.h"

namespace ringout::session {

class SimulatedPerson : public Person {
 public:
  explicit SimulatedPerson(plant::Bystander& bystander) : bystander_(bystander) {}

  // "confirm" is answered with yes; "which way" as she was asked; a step as by one without tools; "what acted" with the
  // first choice that she saw acting since she began to watch.
  [[nodiscard]] Result<std::string> choose(const Question& question) override;
  [[nodiscard]] Result<void> acknowledge(const std::vector<std::string>&) override { return {}; }
  [[nodiscard]] Result<void> begin(const HandAction& action) override;
  [[nodiscard]] Progress progress(const HandAction&) override { return Progress::done; }
  [[nodiscard]] RunControl run_control() const override { return RunControl::acknowledged; }
  [[nodiscard]] bool holding() override { return true; }
  [[nodiscard]] bool wants_to_end() override { return false; }

 private:
  plant::Bystander& bystander_;
};

}  // namespace ringout::session
