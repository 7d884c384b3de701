#include "os/interrupts.h"

#include <signal.h>

#include <atomic>

#include "os/terminal_keys.h"

namespace ringout::os {
namespace {

std::atomic<bool> flag{false};
static_assert(std::atomic<bool>::is_always_lock_free);  // may be touched by a signal

void on_signal(int signal) {
  if (!flag.exchange(true)) return;
  restore_terminal_now();
  ::signal(signal, SIG_DFL);
  ::raise(signal);
}

}  // namespace

void catch_interrupts() {
  struct sigaction action {};
  action.sa_handler = on_signal;
  sigemptyset(&action.sa_mask);
  sigaction(SIGINT, &action, nullptr);
  sigaction(SIGTERM, &action, nullptr);
  // A closed pipe is an error value where it is written to, not the end of a process that has outputs on.
  ::signal(SIGPIPE, SIG_IGN);
}

bool interrupted() {
  return flag.load();
}
void forget_interrupt() {
  flag.store(false);
}

}  // namespace ringout::os
