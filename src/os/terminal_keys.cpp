#include "os/terminal_keys.h"

#include <signal.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>

#include "base/check.h"
#include "os/clock.h"

namespace ringout::os {
namespace {

constexpr std::array ending_signals{SIGHUP, SIGQUIT, SIGABRT};

// The settings to give back must be reachable from a signal, hence file scope; `taken_fd` says whether they are valid.
termios own_settings{};
constexpr int nothing_taken = -1;
std::atomic<int> taken_fd{nothing_taken};

void on_ending_signal(int signal) {
  restore_terminal_now();
  ::signal(signal, SIG_DFL);
  ::raise(signal);
}

}  // namespace

void restore_terminal_now() {
  const int fd = taken_fd.exchange(nothing_taken);
  if (fd != nothing_taken) tcsetattr(fd, TCSANOW, &own_settings);
}

void drop_typed_ahead(int fd) {
  tcflush(fd, TCIFLUSH);
}

Result<TerminalKeys> TerminalKeys::take(int fd) {
  RINGOUT_CHECK(taken_fd.load() == nothing_taken);
  termios keys{};
  if (tcgetattr(fd, &keys) != 0) {
    return failure(ErrorKind::bad_input, "terminal.none", "hold-to-run needs a terminal, and standard input is none",
                   "run the command in a terminal, not through a pipe");
  }
  own_settings = keys;
  keys.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);  // signals stay: the interrupt key must work
  keys.c_cc[VMIN] = 1;
  keys.c_cc[VTIME] = 0;
  taken_fd.store(fd);
  for (const int signal : ending_signals) ::signal(signal, on_ending_signal);
  if (tcsetattr(fd, TCSANOW, &keys) != 0) {
    restore_terminal_now();
    return failure(ErrorKind::bad_input, "terminal.none", "the terminal does not give single keys");
  }
  return TerminalKeys(fd);
}

TerminalKeys::TerminalKeys(TerminalKeys&& other) noexcept : fd_(other.fd_) {
  other.owner_ = false;
}

TerminalKeys::~TerminalKeys() {
  if (!owner_) return;
  restore_terminal_now();
  for (const int signal : ending_signals) ::signal(signal, SIG_DFL);
}

std::optional<char> TerminalKeys::next(Instant deadline) {
  if (wait_readable(fd_, deadline) != Readiness::readable) return std::nullopt;
  char key = 0;
  return ::read(fd_, &key, 1) == 1 ? std::optional<char>(key) : std::nullopt;
}

}  // namespace ringout::os
