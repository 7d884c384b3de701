#include "session/simulated_person.h"

#include <algorithm>

#include "session/answers_person.h"

namespace ringout::session {
namespace {

bool names(const Choice& choice, const plant::Seen& seen) {
  if (choice.id == seen.point) return true;
  return seen.direction != 0 && choice.id == seen.point + (seen.direction > 0 ? "+" : "-");
}

}  // namespace

Result<std::string> SimulatedPerson::choose(const Question& question) {
  if (question.topic == Topic::confirm) return std::string("yes");
  const auto seen = bystander_.look();
  if (!seen) return tl::unexpected<Error>(seen.error());
  for (const plant::Seen& one : *seen) {
    const auto choice = std::find_if(question.choices.begin(), question.choices.end(),
                                     [&](const Choice& candidate) { return names(candidate, one); });
    if (choice != question.choices.end()) return choice->id;
  }
  return std::string("nothing");
}

Result<void> SimulatedPerson::begin(const HandAction& action) {
  return carry_out(bystander_, action);
}

}  // namespace ringout::session
