#include <fmt/format.h>

#include <algorithm>

#include "cli/commands.h"
#include "cli/desk_plots.h"
#include "cli/desk_text.h"
#include "cli/desk_words.h"
#include "cli/json_desk.h"
#include "cli/json_paper.h"
#include "desk/desk.h"
#include "desk/rules/rule.h"
#include "os/files.h"
#include "reach/robot_files.h"
#include "robot/robot_file.h"

namespace ringout::cli {
namespace {

std::string counted(std::size_t n, const char* one, const char* many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string bumps_text(const prove::BumpPlan& plan, const robot::Robot& robot) {
  std::string text = fmt::format("bumps for proving: {:.1f} % of the supply for {} ms, out and back\n",
                                 plan.level_permille / 10.0, plan.duration_ms);
  for (const std::string& words : prove::coverage_of(robot, plan))
    text += "  " + wrapped(words, text_columns - 4, 4) + "\n";
  for (const auto& conflict : plan.conflicts)
    text += "  " + wrapped("not safe: " + conflict, text_columns - 4, 4) + "\n";
  return text;
}

// The rules' findings beside those of the reading, so that a person meets one list.
void add_rule_findings(const robot::Robot& robot, const desk::DeskReport& report, Diagnostics& found) {
  for (const auto& finding : report.findings) {
    const desk::Rule* rule = desk::rule_named(finding.rule);
    if (rule != nullptr && rule->home == desk::Home::references) continue;  // told by check_references
    const auto owner = robot.owners.find(robot::name_of(finding.discipline));
    const std::string who = owner == robot.owners.end() ? robot::name_of(finding.discipline) : owner->second;
    found.add({finding.severity, finding.rule, finding.text, finding.remedy, finding.place,
               robot.text == nullptr ? std::string() : robot.text->name(), who});
  }
}

// "wiring (Wim)": the discipline that can settle it, and who that is.
std::string for_whom(const robot::Robot& robot, const Diagnostic& d) {
  if (d.owner.empty()) return "";
  const auto person = robot.owners.find(d.owner);
  if (person != robot.owners.end()) return d.owner + " (" + person->second + ")";
  const desk::Rule* rule = desk::rule_named(d.id);
  for (const auto& [discipline, name] : robot.owners) {
    const bool settles = rule == nullptr || discipline == robot::name_of(rule->discipline);
    if (name == d.owner && settles) return fmt::format("{} ({})", discipline, name);
  }
  return d.owner;
}

// Notes of one rule are told once, with the lines where the same holds.
Diagnostics for_a_person(const reach::RobotRead& read) {
  const Diagnostics& found = read.found;
  Diagnostics shown;
  const auto show = [&](Diagnostic d) {
    if (read.robot) d.owner = for_whom(*read.robot, d);
    shown.add(std::move(d));
  };
  for (const Diagnostic& d : found.all()) {
    if (d.severity != Severity::note) show(d);
  }
  std::vector<Diagnostic> notes;
  std::vector<std::string> lines;
  for (const Diagnostic& d : found.all()) {
    if (d.severity != Severity::note) continue;
    const auto same = std::find_if(notes.begin(), notes.end(), [&](const Diagnostic& n) { return n.id == d.id; });
    if (same == notes.end()) {
      notes.push_back(d);
      lines.emplace_back();
      continue;
    }
    std::string& at = lines[static_cast<std::size_t>(same - notes.begin())];
    at += fmt::format("{}{}", at.empty() ? "" : ", ", d.span.line);
  }
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (!lines[i].empty()) notes[i].hint += " Likewise at line " + lines[i] + ".";
    show(notes[i]);
  }
  return shown;
}

std::size_t count_of(const Diagnostics& found, Severity severity) {
  const auto& all = found.all();
  return static_cast<std::size_t>(
      std::count_if(all.begin(), all.end(), [&](const Diagnostic& d) { return d.severity == severity; }));
}

// Wrong as a file (syntax, keys, units), not only as a drawing (ports, references).
bool is_no_robot_file(const Diagnostics& found) {
  const auto& all = found.all();
  return std::any_of(all.begin(), all.end(), [](const Diagnostic& d) {
    return d.severity == Severity::error && (d.id.starts_with("file.") || d.id.starts_with("catalogue."));
  });
}

Result<std::vector<std::string>> write_plots(const std::string& folder, const robot::Robot& robot,
                                             const desk::DeskReport& report) {
  std::vector<std::string> paths;
  for (const Plot& plot : desk_plots(robot, report)) {
    paths.push_back(folder + "/" + plot.name + ".svg");
    if (auto written = os::write_atomically(paths.back(), plot.svg); !written) return tl::unexpected(written.error());
  }
  return paths;
}

std::string text_of(const reach::RobotRead& read, const std::optional<prove::BumpPlan>& plan,
                    const std::optional<desk::DeskReport>& report, Colour colour) {
  std::string text;
  if (read.robot) {
    text = fmt::format("{}: {}, {}\n", read.robot->name, counted(read.robot->outputs.size(), "output", "outputs"),
                       counted(read.robot->inputs.size(), "input", "inputs"));
  }
  const std::size_t errors = count_of(read.found, Severity::error);
  const std::size_t warnings = count_of(read.found, Severity::warning);
  if (report) text += glance_text(*read.robot, *report, colour) + findings_answer(errors, warnings, colour);
  text += reach::render_all(for_a_person(read), read.texts);
  if (report) text += margins_text(*read.robot, *report, colour) + "\n";
  if (plan) text += bumps_text(*plan, *read.robot);
  const std::size_t notes = count_of(read.found, Severity::note);
  if (errors + warnings + notes == 0) return text + "nothing to correct\n";
  return text + fmt::format("{}, {}, {}\n", counted(errors, "error", "errors"),
                            counted(warnings, "warning", "warnings"), counted(notes, "note", "notes"));
}

}  // namespace

Outcome run(const CheckCommand& command, const Folders& catalogues, const Terminal& terminal) {
  auto read = reach::read_robot_files(command.robot, catalogues);
  if (!read) return failed(read.error());
  std::optional<prove::BumpPlan> plan;
  std::optional<desk::DeskReport> report;
  if (read->robot) {
    robot::check_references(*read->robot, read->found);
    plan = prove::plan_bumps(*read->robot);
  }
  if (read->robot && !read->found.has_errors()) {
    desk::DeskOptions options;
    if (!command.plots.empty()) options.curves = desk::Curves::include;
    report = desk::desk_check(*read->robot, options);
    add_rule_findings(*read->robot, *report, read->found);
  }
  if (terminal.shows()) terminal.print(text_of(*read, plan, report, terminal.colour()));
  std::vector<std::string> plots;
  if (report && !command.plots.empty()) {
    auto written = write_plots(command.plots, *read->robot, *report);
    if (!written) return failed(written.error());
    plots = std::move(*written);
    terminal.print(fmt::format("{} in {}\n", counted(plots.size(), "picture", "pictures"), command.plots));
  }
  const bool conflicts = plan && !plan->conflicts.empty();
  const bool wrong = count_of(read->found, Severity::error) + count_of(read->found, Severity::warning) > 0;
  std::string json;
  if (!terminal.shows()) {
    json = json_check(read->found, plan ? &*plan : nullptr, report ? json_desk(*read->robot, *report) : "null", plots);
  }
  const ExitStatus status = is_no_robot_file(read->found) ? ExitStatus::bad_input
                            : wrong || conflicts          ? ExitStatus::findings
                                                          : ExitStatus::in_order;
  return {status, std::move(json), {}};
}

}  // namespace ringout::cli
