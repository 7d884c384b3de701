#include "session/simulated_person.h"

#include <algorithm>

#include "session/answers_person.h"

namespace ringout::session {
namespace {

bool names(const Choice& choice, const plant::Seen& seen) {
  if (choice.id == seen.point) return true;
  return seen.direction != 0 && choice.id == seen.point + (seen.direction > 0 ? "+" : "-");
}

// She has no meter and no tools: checks of that kind she cannot tell, and nothing is mended.
std::string without_tools(const Question& question) {
  for (const char* said : {"go", "cant_tell", "cancel", "quit"}) {
    const auto is_it = [&](const Choice& choice) { return choice.id == said; };
    if (std::any_of(question.choices.begin(), question.choices.end(), is_it)) return said;
  }
  return question.choices.front().id;
}

}  // namespace

Result<std::string> SimulatedPerson::choose(const Question& question) {
  if (question.topic == Topic::confirm) return std::string("yes");
  if (question.topic == Topic::which_way) return question.choices.front().id;  // she turns it as she is asked
  if (question.topic == Topic::seen_before) return std::string("not_yet");
  if (question.topic == Topic::step) return without_tools(question);
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
