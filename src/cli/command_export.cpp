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

tl::unexpected<Error> not_there(const char* id, const std::string& message, const std::string& name,
                                const std::vector<std::string>& known) {
  std::string all;
  for (const auto& one : known) all += (all.empty() ? "" : ", ") + one;
  const std::string near = nearest(name, known);
  return failure(ErrorKind::bad_input, id, message,
                 (near.empty() ? "" : "did you mean " + near + "? ") + "there are: " + all);
}

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
  return not_there("export.case", fmt::format("there is no load case \"{}\"", name), name, names);
}

constexpr int start_points = 20;

// The output's motor from rest; another word is no motor's.
Result<Netlist> netlist_of_start(const robot::Robot& robot, const std::string& name) {
  const desk::Layout layout = desk::lay_out(robot);
  std::vector<std::string> motors;
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    if (robot.outputs[o].name == name) {
      const auto start = desk::motor_start(robot, layout, o);
      if (!start) return tl::unexpected<Error>(start.error());
      const std::string title = robot.name + ", start of " + name;
      return Netlist{.load_case = {},
                     .start = name,
                     .text = desk::start_netlist(title, *start, desk::start_duration(*start), start_points)};
    }
    if (desk::motor_of(robot, layout, o) != nullptr) motors.push_back(robot.outputs[o].name);
  }
  return not_there("export.start", fmt::format("there is no output \"{}\"", name), name, motors);
}

Result<Netlist> netlist_of_case(const robot::Robot& robot, const std::string& name) {
  desk::CaseSolver solver(robot);
  const auto planned = chosen_case(desk::load_cases(robot, solver.layout()), solver, name);
  if (!planned) return tl::unexpected<Error>(planned.error());
  auto text = desk::case_netlist(robot, *planned);
  if (!text) return tl::unexpected<Error>(text.error());
  return Netlist{.load_case = planned->name, .start = {}, .text = *std::move(text)};
}

}  // namespace

Outcome run(const ExportCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto netlist =
      command.start.empty() ? netlist_of_case(*robot, command.load_case) : netlist_of_start(*robot, command.start);
  if (!netlist) return failed(netlist.error());
  if (command.out.empty()) {
    terminal.print(netlist->text);
  } else {
    if (auto written = os::write_atomically(command.out, netlist->text); !written) return failed(written.error());
    const std::string what = netlist->start.empty() ? netlist->load_case : "the start of " + netlist->start;
    terminal.print(fmt::format("netlist of {}  {}\n", what, command.out));
  }
  return {ExitStatus::in_order, json_export(*netlist, command.out), {}};
}

}  // namespace ringout::cli
