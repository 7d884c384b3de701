#include <fmt/format.h>

#include "bind/point_table.h"
#include "bind/points_hpp.h"
#include "cli/commands.h"
#include "cli/json_paper.h"
#include "cli/places.h"
#include "os/files.h"
#include "prove/bump_plan.h"
#include "reach/robot_files.h"

namespace ringout::cli {

Outcome run(const BindCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto points = bind::points_hpp(*robot);
  if (!points) return failed(points.error());
  const auto bounds = prove::plan_bumps(*robot).bounds();
  const auto table =
      bind::point_table(*robot, {bounds.max_level_permille, bounds.max_duration_ms, bounds.max_slope_permille_per_ms});
  if (!table) return failed(table.error());

  const std::string folder = given_or_beside(command.out, command.robot, "generated");
  BindResult result{{folder + "/points.hpp", folder + "/point_table.bin", folder + "/point_table.txt"},
                    table->header.program_fp,
                    bind::table_fingerprint(*table),
                    table->entries.size()};
  if (auto w = os::write_atomically(result.files[0], *points); !w) return failed(w.error());
  if (auto w = os::write_atomically(result.files[1], bind::encode(*table)); !w) return failed(w.error());
  if (auto w = os::write_atomically(result.files[2], bind::table_text(*robot, *table)); !w) return failed(w.error());
  terminal.print(
      fmt::format("{} points of {}\n  names and kinds  {}  {}\n  point table      {}  {}\n                   "
                  "          {} (for reading)\n",
                  result.points, robot->name, hexadecimal(result.program_fingerprint), result.files[0],
                  hexadecimal(result.table_fingerprint), result.files[1], result.files[2]));
  return {ExitStatus::in_order, json_bind(result), {}};
}

}  // namespace ringout::cli
