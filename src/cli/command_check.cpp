#include <fmt/format.h>

#include <algorithm>

#include "cli/commands.h"
#include "cli/json_paper.h"
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
  for (const auto& reach : plan.reaches) {
    const robot::Output* output = robot.output(reach.output);
    const bool length = output != nullptr && output->mechanism && output->mechanism->travel_is_length;
    const double factor = length ? 1000.0 : radians(1).in(degrees(1));
    const char* unit = length ? "mm" : "°";
    text += fmt::format("  {:<18} at worst {:6.1f} {}  of {:6.1f} {} clearance\n", reach.output, reach.worst * factor,
                        unit, reach.clearance * factor, unit);
  }
  for (const auto& conflict : plan.conflicts) text += "  not safe: " + conflict + "\n";
  return text;
}

}  // namespace

Outcome run(const CheckCommand& command, const Folders& catalogues, const Terminal& terminal) {
  auto read = reach::read_robot_files(command.robot, catalogues);
  if (!read) return failed(read.error());
  std::optional<prove::BumpPlan> plan;
  if (read->robot) {
    robot::check_references(*read->robot, read->found);
    plan = prove::plan_bumps(*read->robot);
  }
  const auto& all = read->found.all();
  const auto errors = static_cast<std::size_t>(
      std::count_if(all.begin(), all.end(), [](const Diagnostic& d) { return d.severity == Severity::error; }));
  terminal.print(reach::render_all(read->found, read->texts));
  std::string summary;
  if (read->robot) {
    summary = fmt::format("{}: {}, {}\n", read->robot->name, counted(read->robot->outputs.size(), "output", "outputs"),
                          counted(read->robot->inputs.size(), "input", "inputs"));
    summary += bumps_text(*plan, *read->robot);
  }
  summary += all.empty() ? "nothing to correct\n"
                         : fmt::format("{}, {}\n", counted(errors, "error", "errors"),
                                       counted(all.size() - errors, "warning or note", "warnings and notes"));
  terminal.print(summary);
  const bool conflicts = plan && !plan->conflicts.empty();
  return {errors > 0 || conflicts ? ExitStatus::findings : ExitStatus::in_order,
          json_check(read->found, plan ? &*plan : nullptr),
          {}};
}

}  // namespace ringout::cli
