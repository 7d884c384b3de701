// Reads the command line. The only place that knows the argument library, which takes long to compile.
#pragma once

#include <span>
#include <string>
#include <variant>

#include "base/result.h"
#include "cli/invocation.h"

namespace ringout::cli {

struct HelpText {
  std::string text;
};

// `words` without the program's own name. Errors: cli.usage, cli.unknown-command.
[[nodiscard]] Result<std::variant<Invocation, HelpText>> parse_arguments(std::span<const std::string> words);

}  // namespace ringout::cli
