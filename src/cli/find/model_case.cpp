// `ringout find --model FILE`: the engine on a model of any machine.
#include <fmt/format.h>

#include "cli/bench.h"
#include "cli/find/case_answers.h"
#include "cli/find/conversation.h"
#include "cli/find/json.h"
#include "cli/find/kept_case.h"
#include "cli/find/patience.h"
#include "cli/find/text.h"
#include "cli/places.h"
#include "find/model_file.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

constexpr double usual_seconds = 2;  // for each of tree, cost and optimum
constexpr int steps_in_time = 10;    // of the tree at least, where each takes long
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

std::string tree_text(const StrategyResult& r) {
  std::string out = "\n" + r.tree.text + "\n";
  if (!r.tree.whole) out += "the tree ended with its time: what stands behind \"…\" was not looked for\n";
  if (r.cut_short > 0) out += fmt::format("steps chosen before all was compared, for lack of time: {}\n", r.cut_short);
  return out;
}

std::string figures_text(const StrategyResult& r) {
  std::string out = fmt::format("{}: expected cost {:.6g}{}, over {} situations\n", r.strategy, r.expected.cost,
                                r.expected.exact ? "" : " (estimated where the walk ended)", r.expected.situations);
  if (r.optimum.closed()) {
    out += fmt::format("the optimum costs {:.6g}\n", r.optimum.upper);
  } else {
    out += fmt::format("the optimum costs between {:.6g} and {:.6g}: more was not found in time\n", r.optimum.lower,
                       r.optimum.upper);
  }
  const bool unfinished = !r.tree.whole || r.cut_short > 0 || !r.expected.exact || !r.optimum.closed();
  if (unfinished) out += "hint: --time SECONDS allows more\n";
  if (r.left_out > beyond) out += fmt::format("left out: states with a chance of {} in all\n", chance_text(r.left_out));
  return out;
}

Outcome print_strategy(const FindCommand& command, const CaseSubject& subject, find::StrategyKind kind,
                       const Terminal& terminal) {
  const find::Likelihood likelihood(subject.model);
  const find::Posterior posterior(likelihood);
  const find::Bench bench(posterior, {});
  terminal.print(opening_text(subject));
  const double seconds = command.seconds.value_or(usual_seconds);
  const Duration in_all = Duration::seconds(seconds);
  Patience patience(Duration::seconds(seconds / steps_in_time));
  const find::Effort effort = patience.effort();
  const auto strategy = find::make_strategy(kind, effort);
  patience.allow(in_all);
  StrategyResult result{std::string(find::name_of(kind)), {}, {}, bench.set_aside, {}};
  result.tree = find::print_tree(bench.space, *strategy, command.depth, effort);
  result.cut_short = patience.cut_short();
  terminal.print(tree_text(result));
  patience.allow(in_all);
  result.expected = find::expected_cost(bench.space, *strategy, walked, effort);
  patience.allow(in_all);
  find::OptimumSearch search(bench.space, effort);
  result.optimum = search.solve(bench.situation, optimum_nodes);
  terminal.print(figures_text(result));
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
  if (auto right = check_case_answers(command.link.answers, *model, nullptr); !right) return failed(right.error());
  auto file = case_file(command, command.model, subject.about);
  if (!file) return failed(file.error());
  std::unique_ptr<session::Person> person = std::make_unique<TerminalPerson>(terminal, nullptr);
  if (command.link.answers) {
    auto answers = answers_person(*command.link.answers, nullptr, nullptr);
    if (!answers) return failed(answers.error());
    person = *std::move(answers);
  }
  os::catch_interrupts();
  Patience patience(patience_of(command));
  return hold_case({.subject = subject,
                    .file = *std::move(file),
                    .history = history_path,
                    .person = *person,
                    .strategy = *kind,
                    .effort = patience.effort()},
                   terminal);
}

}  // namespace ringout::cli
