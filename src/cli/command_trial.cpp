// `ringout trial ROBOT`: how well fault finding does on this robot, each strategy against the others.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <thread>

#include "cli/commands.h"
#include "cli/find/conversation.h"
#include "cli/find/rows.h"
#include "cli/trial_bench.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

using nlohmann::ordered_json;
using trial::Contender;

constexpr std::size_t told_every = 50;

// What it is measured against where nothing else is asked for.
std::vector<Contender> usual_contenders() {
  using find::StrategyKind;
  return {{StrategyKind::best, false},
          {StrategyKind::information, false},
          {StrategyKind::best, true},
          {StrategyKind::fixed_order, true},
          {StrategyKind::chance_over_cost, true}};
}

// "best", or "fixed-order:hand" for one without the bench.
Result<std::vector<Contender>> contenders_of(const std::vector<std::string>& written) {
  if (written.empty()) return usual_contenders();
  std::vector<Contender> out;
  for (const std::string& word : written) {
    constexpr std::string_view by_hand = ":hand";
    const bool hand = word.ends_with(by_hand);
    const std::string name = hand ? word.substr(0, word.size() - by_hand.size()) : word;
    const auto kind = strategy_of(name);
    if (!kind) return tl::unexpected<Error>(kind.error());
    out.push_back({*kind, hand});
  }
  return out;
}

std::string words_of(const trial::DrawnCase& drawn) {
  std::string out;
  for (const trial::TrueFault& f : drawn.faults) out += (out.empty() ? "" : ", and ") + f.origin.text;
  return out;
}

std::string complaint_of(const trial::DrawnCase& drawn) {
  const faults::Trouble& t = drawn.complaint.troubles.front();
  return (t.point.empty() ? "" : t.point + " ") + std::string(faults::words_of(t.symptom));
}

std::string opening(const robot::Robot& robot, const trial::TrialSettings& settings) {
  return fmt::format(
      "{}: {} cases with {} each, seed {}\n"
      "The faults' true chances are up to {:g} times more or less than believed; of a person's answers {:g} % are\n"
      "misread. Checks of the bench are read on the twin, with a simulated bystander.\n\n",
      robot.name, settings.cases, settings.faults == 1 ? "one fault" : "two faults", settings.seed, settings.wrong_by,
      100 * settings.misread);
}

std::string table_of(const trial::TrialReport& report, const trial::TrialSettings& settings) {
  std::string out = fmt::format("{:<26}{:>17}{:>9}{:>10}{:>8}{:>9}{:>10}\n", "strategy", "minutes a case", "found",
                                "by hand", "bench", "repairs", "needless");
  for (std::size_t k = 0; k < settings.contenders.size(); ++k) {
    const trial::Summary s = trial::summary(report, k);
    out += fmt::format("{:<26}{:>10.1f} ± {:<4.1f}{:>8.1f} %{:>9.1f}{:>8.1f}{:>9.2f}{:>10.2f}\n",
                       trial::name_of(settings.contenders[k]), s.minutes, s.standard_error, 100 * s.found, s.checks,
                       s.bench_checks, s.repairs, s.needless);
  }
  const double first = trial::summary(report, 0).minutes;
  out += "\n";
  for (std::size_t k = 1; k < settings.contenders.size(); ++k) {
    out += fmt::format("{} takes {:.0f} % of the time of {}\n", trial::name_of(settings.contenders[0]),
                       100 * first / trial::summary(report, k).minutes, trial::name_of(settings.contenders[k]));
  }
  return out;
}

// The cases that the first of them did not find, step by step.
std::string missed_text(const trial::TrialReport& report) {
  std::string out;
  for (const trial::CaseResult& c : report.cases) {
    if (c.followed.front().found) continue;
    out += fmt::format("\nnot found: {} (complaint: {})\n", words_of(c.drawn), complaint_of(c.drawn));
    for (const std::string& step : c.followed.front().steps) out += "  " + step + "\n";
  }
  return out;
}

ordered_json followed_json(const trial::Followed& f, const Contender& contender) {
  return {{"strategy", trial::name_of(contender)},
          {"minutes", f.minutes},
          {"bench_minutes", f.bench_minutes},
          {"checks_by_hand", f.hand_checks},
          {"checks_of_the_bench", f.bench_checks},
          {"read_on_the_twin", f.on_twin},
          {"repairs", f.repairs},
          {"needless_repairs", f.needless},
          {"found", f.found}};
}

ordered_json summary_json(const trial::Summary& s, const Contender& contender) {
  return {{"strategy", trial::name_of(contender)},
          {"minutes", s.minutes},
          {"standard_error", s.standard_error},
          {"found", s.found},
          {"checks_by_hand", s.checks},
          {"checks_of_the_bench", s.bench_checks},
          {"repairs", s.repairs},
          {"needless_repairs", s.needless}};
}

std::string case_json(const trial::CaseResult& c, const trial::TrialSettings& settings) {
  ordered_json out{{"event", "case"}, {"complaint", complaint_of(c.drawn)}, {"faults", ordered_json::array()}};
  for (const trial::TrueFault& f : c.drawn.faults) out["faults"].push_back(f.name);
  for (std::size_t k = 0; k < settings.contenders.size(); ++k)
    out["followed"].push_back(followed_json(c.followed[k], settings.contenders[k]));
  return out.dump() + "\n";
}

std::string report_json(const trial::TrialReport& report, const trial::TrialSettings& settings) {
  ordered_json out{{"cases", report.cases.size()},       {"faults", settings.faults},   {"seed", settings.seed},
                   {"wrong_by", settings.wrong_by},      {"misread", settings.misread}, {"unnoticed", report.unnoticed},
                   {"strategies", ordered_json::array()}};
  for (std::size_t k = 0; k < settings.contenders.size(); ++k)
    out["strategies"].push_back(summary_json(trial::summary(report, k), settings.contenders[k]));
  return out.dump();
}

}  // namespace

Outcome run(const TrialCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto rows = read_rows(command.robot, command.rows);
  if (!rows) return failed(rows.error());
  const auto contenders = contenders_of(command.strategies);
  if (!contenders) return failed(contenders.error());
  trial::TrialSettings settings{.seed = command.seed,
                                .cases = command.cases,
                                .faults = command.faults,
                                .wrong_by = command.wrong_by,
                                .misread = command.misread_percent / 100,
                                .contenders = *contenders};
  settings.threads = command.threads > 0 ? command.threads : std::max(1U, std::thread::hardware_concurrency());
  terminal.print(opening(*robot, settings));
  const auto progress = [&](std::size_t done) {
    if (done % told_every == 0 && done < settings.cases) terminal.print(fmt::format("{} cases\n", done));
  };
  const trial::TrialReport report = trial::run_trial(*robot, rows->rows, settings, twin_benches(*robot), progress);
  if (report.cases.empty()) {
    return failed({ErrorKind::bad_input, "trial.nothing-to-complain-of",
                   "no fault of this robot would be noticed by anybody",
                   "the robot file has no point that could fail"});
  }
  terminal.print(table_of(report, settings));
  if (command.show_missed) terminal.print(missed_text(report));
  for (const trial::CaseResult& c : report.cases) terminal.record(case_json(c, settings));
  Outcome outcome{ExitStatus::in_order, report_json(report, settings), {}};
  outcome.layout = Layout::one_line;
  return outcome;
}

}  // namespace ringout::cli
