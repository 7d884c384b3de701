#include <fmt/format.h>

#include "bind/loop_diagram.h"
#include "bind/point_table.h"
#include "bind/schedule.h"
#include "cli/commands.h"
#include "cli/found_file.h"
#include "cli/json_paper.h"
#include "cli/places.h"
#include "os/files.h"
#include "prove/bump_plan.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

bind::Mark mark_of(prove::Verdict verdict) {
  switch (verdict) {
    case prove::Verdict::proved:
      return bind::Mark::proved;
    case prove::Verdict::disagrees:
      return bind::Mark::disagrees;
    case prove::Verdict::silent:
      return bind::Mark::silent;
    case prove::Verdict::untested:
      return bind::Mark::untested;
    case prove::Verdict::stale:
      return bind::Mark::stale;
  }
  return bind::Mark::untested;
}

// Verdicts of the last proving; without one the column stays free for a pencil.
Result<void> add_verdicts(const DrawCommand& command, const robot::Robot& robot, bind::DiagramNotes& notes) {
  const std::string path = given_or_beside(command.findings, command.robot, found_file_name);
  if (!os::is_file(path) && command.findings.empty()) return {};
  const auto found = read_found_file(path);
  if (!found) return tl::unexpected(found.error());
  const auto agreement = agreement_on_paper(robot, *found);
  for (const auto& row : agreement.rows) notes.verdicts[row.point] = mark_of(row.verdict);
  return {};
}

}  // namespace

Outcome run(const DrawCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto bounds = prove::plan_bumps(*robot).bounds();
  const auto table =
      bind::point_table(*robot, {bounds.max_level_permille, bounds.max_duration_ms, bounds.max_slope_permille_per_ms});
  if (!table) return failed(table.error());
  bind::DiagramNotes notes;
  notes.date = command.date.empty() ? today() : command.date;
  notes.table_fingerprint = hexadecimal(bind::table_fingerprint(*table));
  if (auto added = add_verdicts(command, *robot, notes); !added) return failed(added.error());

  const std::string base = command.out.empty() ? robot->name : command.out;
  const auto sheets = bind::loop_diagram(*robot, notes);
  std::vector<std::string> paths;
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    paths.push_back(sheets.size() == 1 ? base + ".svg" : fmt::format("{}-{}.svg", base, i + 1));
    if (auto written = os::write_atomically(paths.back(), sheets[i]); !written) return failed(written.error());
  }
  const std::string schedule = base + ".csv";
  if (auto written = os::write_atomically(schedule, bind::point_schedule_csv(*robot)); !written) {
    return failed(written.error());
  }
  std::string text;
  for (const auto& path : paths) text += "loop diagram    " + path + "\n";
  terminal.print(text + "point schedule  " + schedule + "\n");
  return {ExitStatus::in_order, json_draw(paths, schedule), {}};
}

}  // namespace ringout::cli
