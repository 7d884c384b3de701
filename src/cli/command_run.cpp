#include <fmt/format.h>

#include "cli/bench.h"
#include "cli/json_bench.h"

namespace ringout::cli {

Outcome run(const RunCommand& command, const Folders& catalogues, const Terminal& terminal) {
  auto bench =
      open_bench({.robot = command.robot, .link = command.link, .moves = Moves::outputs}, catalogues, terminal);
  if (!bench) return failed(bench.error());
  session::Session& session = *(*bench)->session;
  if (auto opened = session.open(); !opened) return failed(opened.error());
  const auto ran = session.run({.at_most = Duration::seconds(command.seconds)});
  if (!ran) return failed(ran.error());
  terminal.print(fmt::format("{} after {:.2f} s at line {}{}; outputs are off\n", ran->ended_by, ran->took.in_seconds(),
                             ran->last_line, ran->last_step.empty() ? "" : " (" + ran->last_step + ")"));
  if (ran->unused_stack) terminal.print(fmt::format("stack never used: {} bytes\n", *ran->unused_stack));
  const bool ended = ran->state == wire::ProgramState::ended;
  return {ended ? ExitStatus::in_order : ExitStatus::findings, json_run(*ran), {}};
}

}  // namespace ringout::cli
