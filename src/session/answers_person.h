// A file of answers takes the person's part. On a simulated robot the bystander does the hand actions that the file
// answers with "done"; on hardware somebody must stand there and do them. A file cannot hold a run control.
#pragma once

#include "plant/bystander.h"
#include "session/answers.h"
#include "session/person.h"

namespace ringout::session {

class AnswersPerson : public Person {
 public:
  // `hands` may be null: then nobody but a real person acts.
  AnswersPerson(Answers answers, plant::Bystander* hands) : answers_(std::move(answers)), hands_(hands) {}

  [[nodiscard]] Result<std::string> choose(const Question& question) override;
  [[nodiscard]] Result<void> acknowledge(const std::vector<std::string>& cautions) override;
  [[nodiscard]] Result<void> begin(const HandAction& action) override;
  [[nodiscard]] Progress progress(const HandAction& action) override;
  [[nodiscard]] RunControl run_control() const override { return RunControl::acknowledged; }
  [[nodiscard]] bool holding() override { return true; }
  [[nodiscard]] bool wants_to_end() override { return false; }

 private:
  Answers answers_;
  plant::Bystander* hands_;
  Progress current_ = Progress::waiting;
};

// Lets the simulated bystander carry out a hand action.
[[nodiscard]] Result<void> carry_out(plant::Bystander& hands, const HandAction& action);

}  // namespace ringout::session
