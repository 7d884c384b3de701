// How a command ended: its exit status, and its result as JSON text for --json. Text is printed while it works.
#pragma once

#include <optional>
#include <string>

#include "base/result.h"

namespace ringout::cli {

// A command that printed one line for each of many results ends with its document on one line too.
enum class Layout { indented, one_line };

struct Outcome {
  ExitStatus status = ExitStatus::in_order;
  std::string result;          // a JSON object; empty where there is none
  std::optional<Error> error;  // printed by main, the same way for every command
  Layout layout = Layout::indented;
};

[[nodiscard]] inline Outcome failed(Error error, std::string result = {}) {
  const ExitStatus status = exit_status(error.kind);
  return {status, std::move(result), std::move(error)};
}

}  // namespace ringout::cli
