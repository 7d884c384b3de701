#include "cli/commands.h"
#include "cli/find/conversation.h"

namespace ringout::cli {

Outcome run(const FindCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto found = [&]() -> Outcome {
    if (command.robot.empty() == command.model.empty()) {
      return failed({ErrorKind::bad_input, "find.of-what", "find needs a robot file, or a model with --model",
                     "as in: ringout find robot.toml --on twin"});
    }
    return command.model.empty() ? find_in_robot(command, catalogues, terminal) : find_in_model(command, terminal);
  };
  Outcome outcome = found();
  outcome.layout = Layout::one_line;  // the last of many
  return outcome;
}

}  // namespace ringout::cli
