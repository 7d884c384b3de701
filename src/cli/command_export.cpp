#include <fmt/format.h>

#include <algorithm>

#include "base/diagnostic.h"
#include "cli/commands.h"
#include "cli/json_paper.h"
#include "desk/netlist.h"
#include "os/files.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

Result<desk::PlannedCase> chosen_case(const std::vector<desk::PlannedCase>& cases, desk::CaseSolver& solver,
                                      const std::string& name) {
  std::vector<std::string> names;
  for (const auto& planned : cases) {
    if (planned.name == name) return planned;
    names.push_back(planned.name);
  }
  if (name.empty() && !cases.empty()) {
    // The one with the lowest voltage at the controller.
    std::vector<double> left;
    for (const auto& planned : cases) {
      const auto report = solver.report(planned);
      left.push_back(report.unsolved ? 1e9 : report.above_brown_out.si);
    }
    return cases[static_cast<std::size_t>(std::min_element(left.begin(), left.end()) - left.begin())];
  }
  std::string all;
  for (const auto& known : names) all += (all.empty() ? "" : ", ") + known;
  const std::string near = nearest(name, names);
  return failure(ErrorKind::bad_input, "export.case", fmt::format("there is no load case \"{}\"", name),
                 (near.empty() ? "" : "did you mean " + near + "? ") + "there are: " + all);
}

}  // namespace

Outcome run(const ExportCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  desk::CaseSolver solver(*robot);
  const auto planned = chosen_case(desk::load_cases(*robot, solver.layout()), solver, command.load_case);
  if (!planned) return failed(planned.error());
  const auto netlist = desk::case_netlist(*robot, *planned);
  if (!netlist) return failed(netlist.error());
  if (command.out.empty()) {
    terminal.print(*netlist);
  } else {
    if (auto written = os::write_atomically(command.out, *netlist); !written) return failed(written.error());
    terminal.print(fmt::format("netlist of {}  {}\n", planned->name, command.out));
  }
  return {ExitStatus::in_order, json_export(planned->name, command.out, *netlist), {}};
}

}  // namespace ringout::cli
