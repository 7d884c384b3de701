#include "base/result.h"

#include <doctest/doctest.h>

using namespace ringout;

TEST_CASE("a failure carries its kind, id, message and hint") {
  const Result<int> r = failure(ErrorKind::unreachable, "link.no-answer", "nobody answered", "check the cable");
  REQUIRE_FALSE(r);
  CHECK(r.error().id == "link.no-answer");
  CHECK(exit_status(r.error().kind) == ExitStatus::unreachable);
}

TEST_CASE("every kind of error has its own meaning to the shell") {
  CHECK(exit_status(ErrorKind::bad_input) == ExitStatus::bad_input);
  CHECK(exit_status(ErrorKind::refused) == ExitStatus::findings);
  CHECK(exit_status(ErrorKind::stopped) == ExitStatus::stopped);
  CHECK(exit_status(ErrorKind::interrupted) == ExitStatus::interrupted);
}
