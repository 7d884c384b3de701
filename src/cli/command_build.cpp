#include <fmt/format.h>

#include "bind/firmware_build.h"
#include "cli/commands.h"
#include "cli/json_paper.h"
#include "cli/places.h"
#include "os/child_process.h"
#include "os/files.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

constexpr Duration build_patience = Duration::milliseconds(120'000);

Result<std::string> run_tool(const std::vector<std::string>& words, const std::string& target) {
  const auto finished = os::run_to_end(words, build_patience);
  if (!finished) return tl::unexpected(finished.error());
  if (finished->how.in_order()) return finished->output;
  const bool missing = finished->how.exit_status == 127;
  return failure(ErrorKind::bad_input, missing ? "cli.tool-missing" : "cli.build-failed",
                 fmt::format("{} for {} failed:\n{}", words.front(), target, finished->output),
                 missing ? "install the compiler for this target" : "correct the program and build again");
}

Result<BuildResult> build(const BuildCommand& command, const robot::Robot& robot) {
  const auto target = bind::build_for(command.target);
  if (!target) {
    return failure(ErrorKind::bad_input, "cli.unknown-target", command.target + " is nothing that can be built for",
                   "atmega2560 or twin");
  }
  const std::string folder = given_or_beside(command.out, command.robot, "generated");
  const std::string program = given_or_beside(command.program, command.robot, "program.cpp");
  if (!os::is_file(program)) {
    return failure(ErrorKind::bad_input, "cli.no-program", "there is no program " + program,
                   "name it: ringout build ROBOT PROGRAM");
  }
  const auto plan = bind::firmware_build(robot, {*target, program, installed_root(), folder});
  if (!plan) return tl::unexpected(plan.error());
  for (const auto& file : plan->files) {
    if (auto written = os::write_atomically(file.path, file.text); !written) return tl::unexpected(written.error());
  }
  for (const auto& words : plan->commands) {
    if (auto done = run_tool(words, command.target); !done) return tl::unexpected(done.error());
  }
  BuildResult result{command.target, plan->product, 0, 0};
  if (!plan->size_command.empty()) {
    const auto printed = run_tool(plan->size_command, command.target);
    if (!printed) return tl::unexpected(printed.error());
    const auto size = bind::read_size(*printed);
    if (!size) return tl::unexpected(size.error());
    result.flash_bytes = size->flash_bytes;
    result.static_bytes = size->static_bytes;
  }
  return result;
}

}  // namespace

Outcome run(const BuildCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto result = build(command, *robot);
  if (!result) return failed(result.error());
  std::string text = fmt::format("built {}\n", result->product);
  if (result->flash_bytes > 0) {
    text +=
        fmt::format("  flash   {:6} bytes of {}\n  static  {:6} bytes of {}; the rest is the stack's\n",
                    result->flash_bytes, bind::flash_capacity_bytes, result->static_bytes, bind::ram_capacity_bytes);
    text +=
        "next: write it to the controller with the tool of its boot loader or programmer, as .elf or as the .hex "
        "beside it, then 'ringout load'\n";
  }
  terminal.print(text);
  return {ExitStatus::in_order, json_build(*result), {}};
}

}  // namespace ringout::cli
