// One function a command, each in its own file. Text goes to the terminal while it works; the outcome goes to main.
#pragma once

#include <string>
#include <vector>

#include "cli/invocation.h"
#include "cli/outcome.h"
#include "cli/terminal.h"

namespace ringout::cli {

using Folders = std::vector<std::string>;  // catalogue folders

[[nodiscard]] Outcome run(const NewCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const CheckCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const CalcCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const ColdCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const ExportCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const BindCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const BuildCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const DrawCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const LinksCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const ReadyCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const LoadCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const JogCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const RunCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const MetersCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const TwinCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const FindCommand& command, const Folders& catalogues, const Terminal& terminal);
[[nodiscard]] Outcome run(const TrialCommand& command, const Folders& catalogues, const Terminal& terminal);

// The one that the person asked for.
[[nodiscard]] inline Outcome run_command(const Invocation& invocation, const Folders& catalogues,
                                         const Terminal& terminal) {
  return std::visit([&](const auto& command) { return run(command, catalogues, terminal); }, invocation.command);
}

}  // namespace ringout::cli
