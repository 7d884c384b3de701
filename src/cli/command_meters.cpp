#include <fmt/format.h>

#include <algorithm>

#include "cli/bench.h"
#include "cli/json_bench.h"
#include "cli/tables.h"
#include "os/interrupts.h"

namespace ringout::cli {
namespace {

// The table again in the place of the one before.
std::string redrawn(const std::string& table, std::size_t lines_before) {
  std::string text = lines_before > 0 ? fmt::format("\x1b[{}A", lines_before) : "";
  for (const char c : table) text += c == '\n' ? std::string("\x1b[K\n") : std::string(1, c);
  return text;
}

}  // namespace

Outcome run(const MetersCommand& command, const Folders& catalogues, const Terminal& terminal) {
  std::size_t readings = 0;
  const auto ended = [&](Outcome outcome) {
    outcome.layout = Layout::one_line;
    return outcome;
  };
  auto bench = open_bench({.robot = command.robot,
                           .link = command.link,
                           .pace = terminal.redraws() ? Pace::of_the_clock : Pace::as_fast_as_can_be},
                          catalogues, terminal);
  if (!bench) return ended(failed(bench.error()));
  session::Session& session = *(*bench)->session;
  if (auto opened = session.open(); !opened) return ended(failed(opened.error()));
  const Instant begin = session.client().now();
  std::size_t lines = 0;
  const auto show = [&](const session::Meters& meters) {
    const double seconds = (session.client().now() - begin).in_seconds();
    if (terminal.redraws()) {
      const std::string table = meters_table(meters, terminal.colour());
      terminal.print(redrawn(table, lines));
      lines = static_cast<std::size_t>(std::count(table.begin(), table.end(), '\n'));
    } else {
      terminal.print(meters_line(meters, seconds));
      terminal.record(json_meters_line(seconds, meters));
    }
    ++readings;
    return terminal.is_read() && !os::interrupted() && (!command.seconds || seconds < *command.seconds);
  };
  const auto watched = session.meters(Duration::seconds(command.every_ms * 1e-3), show);
  if (!watched) return ended(failed(watched.error(), json_meters_end(readings)));
  // Without --for the interrupt key is the way to end, and no failure.
  const bool cut_short = os::interrupted() && command.seconds;
  return ended({cut_short ? ExitStatus::interrupted : ExitStatus::in_order, json_meters_end(readings), {}});
}

}  // namespace ringout::cli
