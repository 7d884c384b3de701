#include <fmt/format.h>

#include "cli/bench.h"
#include "cli/json_bench.h"
#include "os/interrupts.h"

namespace ringout::cli {

Outcome run(const TwinCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  os::catch_interrupts();
  std::string line;
  const auto served = reach::serve_on_pseudo_terminal(
      link_spec(command.robot, command.link, catalogues, *robot), [&](const std::string& path) {
        line = path;
        terminal.record(json_twin_line(path));
        terminal.print(
            fmt::format("{} behind {}\n  ringout meters {} --on {}\nhands beside it: press INPUT, release "
                        "INPUT, open disconnect, close disconnect, reset BREAKER, look; interrupt ends it\n",
                        command.link.on, path, command.robot, path));
      });
  if (!served) return failed(served.error());
  Outcome ended{ExitStatus::in_order, json_twin(line), {}};
  ended.layout = Layout::one_line;
  return ended;
}

}  // namespace ringout::cli
