// Always-on assertion for our own bugs. A person's bad input never ends here: it becomes a Diagnostic or an Error.
#pragma once

namespace ringout {

// Prints where and what to standard error and aborts.
[[noreturn]] void check_failed(const char* expression, const char* file, int line);

}  // namespace ringout

// True in every build type; keep the expression free of side effects all the same.
#define RINGOUT_CHECK(expression) \
  ((expression) ? static_cast<void>(0) : ::ringout::check_failed(#expression, __FILE__, __LINE__))
