#include "cli/bench.h"
#include "cli/json_bench.h"

namespace ringout::cli {

Outcome run(const LoadCommand& command, const Folders& catalogues, const Terminal& terminal) {
  auto bench = open_bench({.robot = command.robot, .link = command.link}, catalogues, terminal);
  if (!bench) return failed(bench.error());
  session::Session& session = *(*bench)->session;
  if (auto opened = session.open(); !opened) return failed(opened.error());
  const auto loading = session.load();
  if (!loading) return failed(loading.error());
  return {ExitStatus::in_order, json_load(*loading), {}};
}

}  // namespace ringout::cli
