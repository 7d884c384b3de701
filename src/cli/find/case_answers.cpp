#include "cli/find/case_answers.h"

#include "cli/bench.h"
#include "find/interview_run.h"

namespace ringout::cli {
namespace {

using find::Step;
using session::Asked;

Asked asked_by(const find::Ask& ask) {
  Asked out{ask.id, {}};
  for (const find::Choice& choice : ask.choices) out.answers.push_back(choice.id);
  return out;
}

// Several faults at once are called by all of them, the first one first.
Asked what_it_was(const find::Model& model) {
  Asked out = asked_by(find::ask_found(model, {}));
  for (find::Index m = 0; m < model.modes.size(); ++m) out.answers.push_back(out.answers[m] + "_*");
  return out;
}

}  // namespace

std::vector<Asked> asked_of(const find::Model& model) {
  std::vector<Asked> out;
  for (find::Index o = 0; o < model.observations.size(); ++o) {
    const Step step{Step::Kind::observe, o};
    out.push_back(asked_by(find::ask_step(model, step, 0)));
    out.push_back(asked_by(find::ask_ready(model, step, 0)));
  }
  for (find::Index r = 0; r < model.repairs.size(); ++r)
    out.push_back(asked_by(find::ask_step(model, {Step::Kind::repair, r}, 0)));
  if (model.call_cost) out.push_back(asked_by(find::ask_step(model, {Step::Kind::call, 0}, 0)));
  out.push_back(asked_by(find::ask_proof()));
  out.push_back(asked_by(find::ask_ready_for_proof()));
  out.push_back(asked_by(find::ask_instead(model, {})));
  out.push_back(asked_by(find::ask_when_stuck({})));
  out.push_back(what_it_was(model));
  out.push_back({"doubt", {"entry_*", find::says::quit}});
  out.push_back({"take_back", {"entry_*", find::says::cancel}});
  return out;
}

Result<void> check_case_answers(const std::optional<std::string>& path, const find::Model& model,
                                const robot::Robot* robot) {
  if (!path) return {};
  std::vector<Asked> asked = robot != nullptr ? session::asked_of(*robot) : std::vector<Asked>();
  for (Asked& one : asked_of(model)) asked.push_back(std::move(one));
  const auto answers =
      read_answers_file(*path, [&](const session::Answers& all, const SourceText& text, Diagnostics& found) {
        session::check_answers(all, asked, text, found);
      });
  if (!answers) return tl::unexpected<Error>(answers.error());
  return {};
}

}  // namespace ringout::cli
