#include "os/terminal_keys.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <termios.h>

#include <array>

#include "os/clock.h"
#include "os/hold_key.h"
#include "os/pty.h"

using namespace ringout;
using namespace ringout::os;

namespace {

constexpr Instant at(std::int64_t ms) {
  return Instant{} + Duration::milliseconds(ms);
}

tcflag_t local_flags(int fd) {
  termios settings{};
  REQUIRE(tcgetattr(fd, &settings) == 0);
  return settings.c_lflag;
}

}  // namespace

TEST_CASE("keys come one by one and the terminal gets its settings back") {
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  const Descriptor terminal(open(pty->path().c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC));
  termios cooked{};
  REQUIRE(tcgetattr(terminal.get(), &cooked) == 0);
  cooked.c_lflag |= ICANON | ECHO | ISIG;
  REQUIRE(tcsetattr(terminal.get(), TCSANOW, &cooked) == 0);
  {
    auto keys = TerminalKeys::take(terminal.get());
    REQUIRE(keys.has_value());
    CHECK((local_flags(terminal.get()) & (ICANON | ECHO)) == 0);
    CHECK((local_flags(terminal.get()) & ISIG) != 0);
    const std::array<std::uint8_t, 2> typed{'g', ' '};
    pty->write(typed);
    CHECK(keys->next(monotonic_now() + Duration::milliseconds(5000)) == 'g');
    CHECK(keys->next(monotonic_now() + Duration::milliseconds(5000)) == ' ');
    CHECK(keys->next(monotonic_now()) == std::nullopt);
    pty->write(typed);
    drop_typed_ahead(terminal.get());
    CHECK(keys->next(monotonic_now()) == std::nullopt);
  }
  CHECK((local_flags(terminal.get()) & (ICANON | ECHO)) == (ICANON | ECHO));
}

TEST_CASE("without a terminal there is no hold-to-run") {
  const Descriptor nothing(open("/dev/null", O_RDONLY | O_CLOEXEC));
  CHECK(TerminalKeys::take(nothing.get()).error().id == "terminal.none");
}

TEST_CASE("a key is held from its first repeat until the repeats stop") {
  HoldKey key;
  CHECK_FALSE(key.held(at(0)));
  key.pressed(at(0));
  CHECK_FALSE(key.held(at(0)));  // one press alone moves nothing
  key.pressed(at(500));          // the first repeat comes late
  CHECK(key.held(at(500)));
  for (int t = 533; t < 1000; t += 33) {
    key.pressed(at(t));
    CHECK(key.held(at(t + 33)));
  }
  CHECK(key.held(at(995 + 120)));
  CHECK_FALSE(key.held(at(995 + 121)));
}

TEST_CASE("one press after a hold moves nothing") {
  for (const int later : {121, 300, 700}) {
    CAPTURE(later);
    HoldKey key;
    key.pressed(at(0));
    key.pressed(at(500));
    REQUIRE(key.held(at(600)));
    key.pressed(at(500 + later));
    CHECK_FALSE(key.held(at(500 + later)));
    key.pressed(at(500 + later + 400));
    CHECK(key.held(at(500 + later + 400)));
  }
}

TEST_CASE("two presses far apart are no hold, and another key lets go") {
  HoldKey key;
  key.pressed(at(0));
  key.pressed(at(801));
  CHECK_FALSE(key.held(at(801)));
  key.pressed(at(850));
  CHECK(key.held(at(850)));
  key.other_key();
  CHECK_FALSE(key.held(at(851)));
  key.pressed(at(860));
  CHECK_FALSE(key.held(at(860)));
}
