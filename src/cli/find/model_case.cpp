// `ringout find --model FILE`: the engine on a model of any machine.
#include <fmt/format.h>

#include "cli/bench.h"
#include "cli/find/conversation.h"
#include "cli/find/json.h"
#include "cli/find/kept_case.h"
#include "cli/find/text.h"
#include "cli/places.h"
#include "find/model_file.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

constexpr std::size_t optimum_nodes = 200'000;
constexpr std::size_t walked = 200'000;
constexpr double beyond = 0.005;  // of what must be left out before it is said

Result<find::Model> read_model_file(const std::string& path) {
  auto text = os::read_text(path, 512u << 10);
  if (!text) return tl::unexpected(text.error());
  const SourceText source(path, std::move(*text));
  Diagnostics found;
  auto model = find::read_model(source, found);
  if (model) return *std::move(model);
  return failure(ErrorKind::bad_input, "find.model-has-errors",
                 path + " has errors:\n" + reach::render_all(found, {source}), "docs/find_model.md has the form");
}

std::string strategy_text(const StrategyResult& r) {
  std::string out = fmt::format("{}: expected cost {:.6g}{}, over {} situations\n", r.strategy, r.expected.cost,
                                r.expected.exact ? "" : " (estimated where the walk ended)", r.expected.situations);
  if (r.optimum.closed()) {
    out += fmt::format("the optimum costs {:.6g}\n", r.optimum.upper);
  } else {
    out += fmt::format("the optimum costs between {:.6g} and {:.6g}: this model is too large to know it\n",
                       r.optimum.lower, r.optimum.upper);
  }
  if (r.left_out > beyond) out += fmt::format("left out: states with a chance of {} in all\n", chance_text(r.left_out));
  return out;
}

Outcome print_strategy(const FindCommand& command, const CaseSubject& subject, find::StrategyKind kind,
                       const Terminal& terminal) {
  const find::Likelihood likelihood(subject.model);
  const find::Posterior posterior(likelihood);
  if (posterior.starts_impossible()) {
    return failed({ErrorKind::bad_input, "find.symptoms-impossible", "the model's symptoms cannot all be true",
                   "no fault of this model shows them; leave one out"});
  }
  const find::Bench bench(posterior, {});
  const auto strategy = find::make_strategy(kind);
  StrategyResult result{std::string(find::name_of(kind)),
                        find::expected_cost(bench.space, *strategy, walked),
                        {},
                        bench.set_aside,
                        find::print_tree(bench.space, *strategy, command.depth)};
  find::OptimumSearch search(bench.space, {});
  result.optimum = search.solve(bench.situation, optimum_nodes);
  terminal.print(opening_text(subject) + "\n" + result.tree + "\n" + strategy_text(result));
  return {ExitStatus::in_order, json_strategy(subject, result), {}};
}

}  // namespace

Outcome find_in_model(const FindCommand& command, const Terminal& terminal) {
  const auto model = read_model_file(command.model);
  if (!model) return failed(model.error());
  if (command.as == FindAs::history) return find_history(command, command.model, &*model, terminal);
  const auto kind = strategy_of(command.strategy);
  if (!kind) return failed(kind.error());
  const std::string history_path = given_or_beside(command.history, command.model, history_file_name);
  const auto history = read_history_file(history_path);
  if (!history) return failed(history.error());
  CaseSubject subject = subject_of(find::learned(*model, *history));
  for (const std::string& row : taught(*model, subject.model, *history))
    subject.notes.push_back("the team's history: " + row);
  if (command.as == FindAs::tree) return print_strategy(command, subject, *kind, terminal);
  auto file = case_file(command, command.model, subject.about);
  if (!file) return failed(file.error());
  std::unique_ptr<session::Person> person = std::make_unique<TerminalPerson>(terminal, nullptr);
  if (command.link.answers) {
    auto answers = answers_person(*command.link.answers, nullptr, nullptr);
    if (!answers) return failed(answers.error());
    person = *std::move(answers);
  }
  os::catch_interrupts();
  return hold_case(
      {.subject = subject, .file = *std::move(file), .history = history_path, .person = *person, .strategy = *kind},
      terminal);
}

}  // namespace ringout::cli
