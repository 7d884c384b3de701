#include "cli/terminal_person.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <memory>

#include "os/clock.h"
#include "os/pty.h"

namespace ringout::cli {
namespace {

// While it lives, a pseudo-terminal that gives single keys stands at standard input.
class KeysAtStandardInput {
 public:
  KeysAtStandardInput() {
    REQUIRE(pty_.has_value());
    const os::Descriptor terminal(open(pty_->path().c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC));
    REQUIRE(dup2(terminal.get(), STDIN_FILENO) == STDIN_FILENO);
    termios keys{};
    REQUIRE(tcgetattr(STDIN_FILENO, &keys) == 0);
    keys.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
    REQUIRE(tcsetattr(STDIN_FILENO, TCSANOW, &keys) == 0);
  }
  ~KeysAtStandardInput() { dup2(before_.get(), STDIN_FILENO); }
  KeysAtStandardInput(const KeysAtStandardInput&) = delete;
  KeysAtStandardInput& operator=(const KeysAtStandardInput&) = delete;

  void press_twice() {
    const std::array<std::uint8_t, 2> spaces{' ', ' '};
    REQUIRE(pty_->write(spaces) == spaces.size());
    REQUIRE(os::wait_readable(STDIN_FILENO, os::monotonic_now() + Duration::milliseconds(5000)) ==
            os::Readiness::readable);
  }

 private:
  os::Descriptor before_{fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 3)};
  Result<os::Pty> pty_ = os::Pty::open();
};

}  // namespace

TEST_CASE("keys that were pressed before anybody looked hold no run control") {
  KeysAtStandardInput keys;
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> nowhere(std::fopen("/dev/null", "w"), std::fclose);
  const Terminal terminal(nowhere.get(), nowhere.get(), Shown::all);
  TerminalPerson person(terminal, nullptr);
  keys.press_twice();
  CHECK_FALSE(person.holding());
  CHECK_FALSE(person.holding());
}

}  // namespace ringout::cli
