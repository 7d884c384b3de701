#include "link/send_window.h"

#include <doctest/doctest.h>

namespace ringout::link {
namespace {

constexpr Instant at_ms(std::int64_t ms) {
  return Instant{ms * 1'000'000};
}

TEST_CASE("a reply frees its own frame and all before it") {
  SendWindow window(100);
  window.sent(1, 40, at_ms(0));
  window.sent(2, 40, at_ms(0));
  CHECK_FALSE(window.has_room(40, at_ms(1)));
  window.answered(2);
  CHECK(window.on_their_way() == 0);
  CHECK(window.has_room(40, at_ms(1)));
}

TEST_CASE("a lost reply is made good by the next, or by twenty quiet milliseconds") {
  SendWindow window(100);
  window.sent(1, 90, at_ms(0));
  CHECK_FALSE(window.has_room(20, at_ms(19)));
  CHECK(window.has_room(20, at_ms(20)));
  window.sent(2, 90, at_ms(20));
  window.answered(1);
  CHECK(window.on_their_way() == 90);
}

TEST_CASE("a frame larger than the window goes alone") {
  SendWindow window(50);
  CHECK(window.has_room(80, at_ms(0)));
  window.sent(1, 80, at_ms(0));
  CHECK_FALSE(window.has_room(1, at_ms(1)));
}

}  // namespace
}  // namespace ringout::link
