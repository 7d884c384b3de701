// Expected failures as values. Bugs abort (base/check.h); a person's bad text is explained (base/diagnostic.h).
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace ringout {

// Who must act decides the kind, and the kind decides the exit status (exit_status below).
enum class ErrorKind {
  bad_input,    // the person: a file, an argument, an answer is wrong
  unreachable,  // the link: no controller, a port in use, cable out, no answer in time
  refused,      // the controller answered, and said no (wrong table, no permission, newer version, …)
  stopped,      // motion was stopped for safety
  interrupted,  // the person pressed interrupt
};

struct Error {
  ErrorKind kind = ErrorKind::bad_input;
  std::string id;       // stable, "part.what-is-wrong", e.g. "link.port-in-use"
  std::string message;  // what and where, one sentence
  std::string hint;     // what to do; may be empty
};

template <class T>
using Result = tl::expected<T, Error>;

[[nodiscard]] inline tl::unexpected<Error> failure(ErrorKind kind, std::string id, std::string message,
                                                   std::string hint = {}) {
  return tl::unexpected<Error>(Error{kind, std::move(id), std::move(message), std::move(hint)});
}

// The process's exit status; a closed set, used by every command.
enum class ExitStatus : int {
  in_order = 0,
  findings = 1,
  bad_input = 2,
  unreachable = 3,
  stopped = 4,
  internal_error = 70,
  interrupted = 130,
};

[[nodiscard]] constexpr ExitStatus exit_status(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::bad_input:
      return ExitStatus::bad_input;
    case ErrorKind::unreachable:
      return ExitStatus::unreachable;
    case ErrorKind::refused:
      return ExitStatus::findings;
    case ErrorKind::stopped:
      return ExitStatus::stopped;
    case ErrorKind::interrupted:
      return ExitStatus::interrupted;
  }
  return ExitStatus::internal_error;
}

}  // namespace ringout
