#include <fmt/format.h>

#include "cli/bench.h"
#include "cli/json_bench.h"

namespace ringout::cli {

Outcome run(const ReadyCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const bool motion = command.depth == Depth::with_motion;
  auto bench =
      open_bench({.robot = command.robot, .link = command.link, .moves = motion ? Moves::outputs : Moves::nothing},
                 catalogues, terminal);
  if (!bench) return failed(bench.error());
  const auto readiness =
      (*bench)->session->ready(motion ? session::ReadyDepth::with_motion : session::ReadyDepth::readings);
  terminal.print(readiness.go() ? "\ngo: every step is in order\n" : "\nno go\n");
  if (readiness.ended_early) return failed(*readiness.ended_early, json_ready(readiness));
  return {readiness.go() ? ExitStatus::in_order : ExitStatus::findings, json_ready(readiness), {}};
}

}  // namespace ringout::cli
