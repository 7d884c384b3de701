#include "base/diagnostic.h"

#include <doctest/doctest.h>

using namespace ringout;

TEST_CASE("a diagnostic shows file, line, column, caret, reason and hint") {
  const SourceText text("robot.toml", "a = 1\nport = \"OUT9\"\n");
  Diagnostics found;
  found.error(text, {2, 8, 6}, "robot.unknown-port", "the board has no port OUT9", "ports are OUT1 to OUT8");
  CHECK(render(found.all()[0], &text) ==
        "robot.toml:2:8: error: the board has no port OUT9 [robot.unknown-port]\n"
        "  2 | port = \"OUT9\"\n"
        "    |        ^^^^^^\n"
        "  hint: ports are OUT1 to OUT8\n");
  CHECK(found.has_errors());
}

TEST_CASE("a diagnostic says last who can settle it") {
  const Diagnostic d{Severity::note, "f.x", "no", "do", {}, "f", "wiring (Wim)"};
  CHECK(render(d, nullptr) == "f: note: no [f.x]\n  hint: do\n  for: wiring (Wim)\n");
}

TEST_CASE("the caret counts code points, not bytes, and keeps tabs") {
  const SourceText text("f", "\tµ = x");
  const Diagnostic d{Severity::warning, "f.x", "no", "", {1, 6, 1}, "f", ""};
  CHECK(render(d, &text) == "f:1:6: warning: no [f.x]\n  1 | \tµ = x\n    | \t    ^\n");
}

TEST_CASE("control characters of a broken file do not reach the terminal") {
  const SourceText text("f", "a\x1b[2J\x7f = 1");
  const Diagnostic d{Severity::error, "f.x", "no", "", {1, 1, 1}, "f", ""};
  CHECK(render(d, &text) == "f:1:1: error: no [f.x]\n  1 | a?[2J? = 1\n    | ^\n");
}

TEST_CASE("lines are found whatever the line ends") {
  const SourceText text("f", "one\r\ntwo");
  CHECK(text.line(1) == "one");
  CHECK(text.line(2) == "two");
  CHECK(text.line(3).empty());
  CHECK(text.line(0).empty());
}

TEST_CASE("the nearest name is offered only when it is near") {
  CHECK(nearest("clmap_motor", {"lift_motor", "clamp_motor"}) == "clamp_motor");
  CHECK(nearest("OUT9", {"OUT1", "ENC1"}) == "OUT1");
  CHECK(nearest("wholly_other", {"lift", "clamp"}).empty());
}

TEST_CASE("findings are sorted by place and keep their order at one place") {
  Diagnostics found;
  const SourceText text("f", "");
  found.error(text, {3, 1, 1}, "c", "");
  found.warning(text, {1, 5, 1}, "a", "");
  found.warning(text, {1, 5, 1}, "b", "");
  found.sort_by_place();
  CHECK(found.all()[0].id == "a");
  CHECK(found.all()[1].id == "b");
  CHECK(found.all()[2].id == "c");
}
