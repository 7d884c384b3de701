// Single keys from the terminal, without echo and without waiting for a line. The terminal's own settings come back at
// the end of scope and on signals that end the process.
#pragma once

#include <optional>

#include "base/instant.h"
#include "base/result.h"

namespace ringout::os {

class TerminalKeys {
 public:
  // Takes the terminal behind `fd` (standard input). Fails with terminal.none where there is no terminal: hold-to-run
  // cannot work through a pipe. Only one may exist at a time.
  [[nodiscard]] static Result<TerminalKeys> take(int fd);
  TerminalKeys(TerminalKeys&& other) noexcept;
  TerminalKeys& operator=(TerminalKeys&&) = delete;
  TerminalKeys(const TerminalKeys&) = delete;
  TerminalKeys& operator=(const TerminalKeys&) = delete;
  ~TerminalKeys();

  // The next key before the deadline, or none. Its time is the caller's clock.
  [[nodiscard]] std::optional<char> next(Instant deadline);

 private:
  explicit TerminalKeys(int fd) : fd_(fd) {}
  int fd_;
  bool owner_ = true;
};

// Drops what was typed and not yet read: a key pressed before a question was on the screen is no answer to it. Does
// nothing where `fd` is no terminal.
void drop_typed_ahead(int fd);

// Gives the terminal its own settings back, if they were taken. Safe in a signal.
void restore_terminal_now();

}  // namespace ringout::os
