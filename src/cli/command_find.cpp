#include "cli/commands.h"
#include "cli/find/conversation.h"

namespace ringout::cli {
namespace {

std::optional<Error> wrong(std::string message, std::string hint) {
  return Error{ErrorKind::bad_input, "find.of-what", std::move(message), std::move(hint)};
}

// What was asked for cannot be done together, and would be passed over in silence.
std::optional<Error> misfit(const FindCommand& command) {
  if (command.robot.empty() && command.model.empty()) {
    return wrong("find needs a robot file, or a model with --model", "as in: ringout find robot.toml --on twin");
  }
  if (!command.robot.empty() && !command.model.empty()) {
    return wrong("find is about a robot or about a model, and " + command.robot + " and --model " + command.model +
                     " were both given",
                 "leave one of them out");
  }
  if (command.resume && !command.trouble.empty()) {
    return wrong("a case that is gone on with has its complaint, and --trouble gives another one",
                 "leave --trouble out; for another complaint begin a new case, without --resume");
  }
  if (command.model.empty()) {
    if (!command.interview) return std::nullopt;
    return wrong("--interview is for a model: with a robot file there is nothing else", "leave --interview out");
  }
  const char* of_a_robot = command.link.on != "none"  ? "--on"
                           : !command.trouble.empty() ? "--trouble"
                           : !command.rows.empty()    ? "--rows"
                                                      : nullptr;
  if (of_a_robot == nullptr) return std::nullopt;
  return wrong(std::string(of_a_robot) + " goes with a robot file, and " + command.model + " is a model",
               "leave it out; a model has no controller, and its symptoms stand in its file");
}

}  // namespace

Outcome run(const FindCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto found = [&]() -> Outcome {
    if (auto error = misfit(command)) return failed(*std::move(error));
    return command.model.empty() ? find_in_robot(command, catalogues, terminal) : find_in_model(command, terminal);
  };
  Outcome outcome = found();
  outcome.layout = Layout::one_line;  // the last of many
  return outcome;
}

}  // namespace ringout::cli
