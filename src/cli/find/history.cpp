// The team's history of closed cases: shown, copied out, and added to.
#include <fmt/format.h>

#include "cli/find/conversation.h"
#include "cli/find/json.h"
#include "cli/find/kept_case.h"
#include "cli/places.h"
#include "os/files.h"

namespace ringout::cli {

Outcome find_history(const FindCommand& command, const std::string& beside_file, const find::Model* model,
                     const Terminal& terminal) {
  const std::string path = given_or_beside(command.history, beside_file, history_file_name);
  auto history = read_history_file(path);
  if (!history) return failed(history.error());
  if (!command.merge_from.empty()) {
    if (!os::is_file(command.merge_from)) {
      return failed({ErrorKind::bad_input, "find.no-history", "there is no file " + command.merge_from,
                     "name a history that was written with --export-history"});
    }
    const auto other = read_history_file(command.merge_from);
    if (!other) return failed(other.error());
    find::merge(*history, *other);
    if (auto written = write_history_file(path, *history); !written) return failed(written.error());
    terminal.print(
        fmt::format("added {:g} cases of {}; do not add the same history twice\n", other->cases, command.merge_from));
  }
  if (!command.export_to.empty()) {
    if (auto written = write_history_file(command.export_to, *history); !written) return failed(written.error());
    terminal.print("copied to " + command.export_to + "\n");
  }
  const find::Strength strength;
  terminal.print(fmt::format("{}: {:g} closed cases; the starting belief counts as {:g}\n", path, history->cases,
                             strength.priors));
  for (const auto& [fault, count] : history->faults) terminal.print(fmt::format("  {:>4g}  {}\n", count, fault));
  if (model != nullptr) {
    for (const std::string& row : taught(*model, find::learned(*model, *history, strength), *history))
      terminal.print("  " + row + "\n");
  }
  return {ExitStatus::in_order, json_history(*history, strength, path), {}};
}

}  // namespace ringout::cli
