#include <fmt/format.h>

#include "base/diagnostic.h"
#include "cli/bench.h"
#include "cli/json_bench.h"
#include "cli/tables.h"

namespace ringout::cli {
namespace {

Error no_such_output(const robot::Robot& robot, const std::string& name) {
  std::vector<std::string> names;
  std::string all;
  for (const auto& output : robot.outputs) {
    const bool driven = output.kind == robot::PointKind::bridge_motor || output.kind == robot::PointKind::on_off;
    if (driven) names.push_back(output.name);
    all += (all.empty() ? "" : ", ") + output.name;
  }
  const std::string near = nearest(name, names);
  return {ErrorKind::bad_input, "cli.no-such-output", fmt::format("{} has no output {}", robot.name, name),
          near.empty() ? "its outputs are " + all : "did you mean " + near + "?"};
}

}  // namespace

Outcome run(const JogCommand& command, const Folders& catalogues, const Terminal& terminal) {
  auto bench =
      open_bench({.robot = command.robot, .link = command.link, .moves = Moves::outputs}, catalogues, terminal);
  if (!bench) return failed(bench.error());
  if ((*bench)->robot.output(command.output) == nullptr) return failed(no_such_output((*bench)->robot, command.output));
  session::Session& session = *(*bench)->session;
  if (auto opened = session.open(); !opened) return failed(opened.error());
  if ((*bench)->person->run_control() == session::RunControl::hold_to_run) {
    terminal.print("the run control is the space bar: hold it down; let go, or press another key, to stop\n");
  }
  const session::JogOptions asked{
      .output = command.output, .level = command.percent / 100.0, .at_most = Duration::seconds(command.seconds)};
  const auto jog = session.jog(asked);
  if (!jog) return failed(jog.error());
  terminal.print(jog_text(*(*bench)->robot.output(command.output), asked, *jog));
  return {ExitStatus::in_order, json_jog(command.output, command.percent, *jog), {}};
}

}  // namespace ringout::cli
