#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <iostream>

#include "cli/cold_text.h"
#include "cli/commands.h"
#include "cli/json_desk.h"
#include "cli/measured_file.h"
#include "cli/places.h"
#include "cold/judge.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

struct Kept {
  std::string path;
  std::string text;  // of the file as it was
  cold::Readings readings;
};

Result<Kept> read_kept(const ColdCommand& command) {
  Kept kept{given_or_beside(command.kept, command.robot, measured_file_name), "", {}};
  if (!os::is_file(kept.path)) return kept;
  const auto text = os::read_text(kept.path);
  if (!text) return tl::unexpected(text.error());
  auto readings = read_measured(kept.path, *text);
  if (!readings) return tl::unexpected(readings.error());
  kept.text = *text;
  kept.readings = std::move(*readings);
  return kept;
}

Result<void> keep(Kept& kept, const cold::Readings& added, const std::string& by) {
  for (const auto& [id, reading] : added) kept.readings[id] = {reading.values, today(), by};
  kept.text = measured_text(kept.text, kept.readings);
  return os::write_atomically(kept.path, kept.text);
}

// Before anything is asked or read: a page that cannot be written, or that would be none.
Result<void> can_print(const std::string& path) {
  const std::filesystem::path file(path);
  const std::string ending = file.extension().string();
  if (ending != ".html" && ending != ".csv") {
    return failure(
        ErrorKind::bad_input, "cold.print",
        fmt::format("{}: the sheet is written as a page (.html) or as a table (.csv), not as \"{}\"", path, ending),
        "name it sheet.html for paper, or sheet.csv to fill in");
  }
  std::error_code failed;
  const std::filesystem::path folder = file.has_parent_path() ? file.parent_path() : ".";
  if (!std::filesystem::is_directory(folder, failed)) {
    return failure(ErrorKind::bad_input, "cold.print",
                   fmt::format("{}: there is no folder \"{}\" to write it into", path, folder.string()),
                   "make the folder first, or write the sheet elsewhere");
  }
  return {};
}

Result<void> print_sheet(const ColdCommand& command, const std::string& name, const cold::Sheet& sheet) {
  const bool table = command.print.ends_with(".csv");
  return os::write_atomically(command.print, table ? cold_table(sheet) : cold_page(name, sheet));
}

enum class Asking { go_on, ended };

// One step at the terminal: asked until its answer can be read; empty leaves it for later.
Result<Asking> ask(const cold::Sheet& sheet, const cold::Step& step, Kept& kept, const std::string& by,
                   const Terminal& terminal) {
  terminal.print("\n" + cold_step_text(step, terminal.colour()));
  while (true) {
    terminal.print(step.kind == cold::StepKind::first_power ? "      amperes (enter: later, q: end): "
                                                            : "      ohms (enter: later, q: end): ");
    std::string line;
    if (!std::getline(std::cin, line) || os::interrupted() || line == "q") return Asking::ended;
    if (line.find_first_not_of(" \t") == std::string::npos) return Asking::go_on;
    const auto values = cold::read_values(line, step.kind);
    if (!values) {
      terminal.print("      " + values.error().message + "; " + values.error().hint + "\n");
      continue;
    }
    if (auto kept_now = keep(kept, {{step.id, {*values, "", ""}}}, by); !kept_now)
      return tl::unexpected(kept_now.error());
    for (const auto& j : cold::judged(sheet, kept.readings)) {
      if (j.step->id == step.id) terminal.print(judgement_text(j, terminal.colour()));
    }
    return Asking::go_on;
  }
}

bool any_fault(const cold::Sheet& sheet, const cold::Readings& readings) {
  for (const auto& j : cold::judged(sheet, readings)) {
    if (cold::is_fault(j.verdict)) return true;
  }
  return false;
}

bool is_good(const cold::Sheet& sheet, const cold::Step& step, const cold::Readings& readings) {
  for (const auto& j : cold::judged(sheet, readings)) {
    if (j.step->id == step.id) return j.verdict == cold::Verdict::good;
  }
  return false;
}

// Steps that are not good yet, in the sheet's order; power only once every one of them is.
Result<void> ask_all(const cold::Sheet& sheet, Kept& kept, const std::string& by, const Terminal& terminal) {
  for (const auto& caution : sheet.cautions) terminal.print("! " + wrapped(caution, 76, 2) + "\n");
  for (const cold::Step& step : sheet.steps) {
    if (is_good(sheet, step, kept.readings)) continue;
    const auto asked = ask(sheet, step, kept, by, terminal);
    if (!asked) return tl::unexpected(asked.error());
    if (*asked == Asking::ended) return {};
  }
  const bool all_good = std::all_of(sheet.steps.begin(), sheet.steps.end(),
                                    [&](const cold::Step& step) { return is_good(sheet, step, kept.readings); });
  if (!all_good) return {};
  for (const auto& caution : sheet.power_cautions) terminal.print("! " + wrapped(caution, 76, 2) + "\n");
  for (const cold::Step& step : sheet.power) {
    if (is_good(sheet, step, kept.readings)) continue;
    const auto asked = ask(sheet, step, kept, by, terminal);
    if (!asked) return tl::unexpected(asked.error());
    if (*asked == Asking::ended || any_fault(sheet, kept.readings)) return {};
  }
  return {};
}

Result<void> take_list(const std::string& path, const cold::Sheet& sheet, Kept& kept, const std::string& by) {
  const auto text = os::read_text(path);
  if (!text) return tl::unexpected(text.error());
  const auto list = cold::read_list(path, *text, sheet);
  if (!list) return tl::unexpected(list.error());
  return keep(kept, *list, by);
}

}  // namespace

Outcome run(const ColdCommand& command, const Folders& catalogues, const Terminal& terminal) {
  if (!command.print.empty()) {
    if (auto can = can_print(command.print); !can) return failed(can.error());
  }
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const cold::Sheet sheet = cold::cold_sheet(*robot);
  auto kept = read_kept(command);
  if (!kept) return failed(kept.error());
  if (!command.print.empty()) {
    if (auto printed = print_sheet(command, robot->name, sheet); !printed) return failed(printed.error());
    terminal.print("sheet to print  " + command.print + "\n");
  }
  if (!command.readings.empty()) {
    if (auto taken = take_list(command.readings, sheet, *kept, command.by); !taken) return failed(taken.error());
  } else if (terminal.shows() && isatty(STDIN_FILENO) == 1 && command.print.empty()) {
    if (auto asked = ask_all(sheet, *kept, command.by, terminal); !asked) return failed(asked.error());
  }
  const auto judgements = cold::judged(sheet, kept->readings);
  if (kept->readings.empty() && command.print.empty()) {
    terminal.print(cold_sheet_text(robot->name, sheet, terminal.colour()));
  } else if (!kept->readings.empty()) {
    terminal.print(cold_result_text(judgements, terminal.colour()));
    terminal.print("kept in " + kept->path + "\n");
  }
  bool fault = false;
  for (const auto& j : judgements) fault = fault || cold::is_fault(j.verdict);
  return {fault ? ExitStatus::findings : ExitStatus::in_order, json_cold(sheet, judgements, kept->readings), {}};
}

}  // namespace ringout::cli
