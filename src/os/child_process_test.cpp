#include "os/child_process.h"

#include <doctest/doctest.h>
#include <signal.h>

#include "os/clock.h"
#include "os/interrupts.h"

using namespace ringout;
using namespace ringout::os;

namespace {

Instant soon() {
  return monotonic_now() + Duration::milliseconds(5000);
}

std::vector<std::uint8_t> bytes_of(const std::string& text) {
  return {text.begin(), text.end()};
}

}  // namespace

TEST_CASE("a child answers what it is asked and ends when its input closes") {
  auto child = ChildProcess::start({"cat"});
  REQUIRE(child.has_value());
  REQUIRE(child->write(bytes_of("tray")).has_value());
  CHECK(child->read_exactly(4, soon()).value() == bytes_of("tray"));
  CHECK(child->stop().in_order());
}

TEST_CASE("a silent child runs into the deadline") {
  auto child = ChildProcess::start({"cat"});
  REQUIRE(child.has_value());
  CHECK(child->read_exactly(1, monotonic_now() + Duration::milliseconds(2)).error().id == "child.silent");
}

TEST_CASE("a child that has ended is an error, not a signal") {
  auto child = ChildProcess::start({"true"});
  REQUIRE(child.has_value());
  CHECK(child->read_exactly(1, soon()).error().id == "child.gone");
  const std::vector<std::uint8_t> much(1u << 20, 0);
  CHECK(child->write(much).error().id == "child.gone");
}

TEST_CASE("a child that will not end is ended") {
  auto child = ChildProcess::start({"sh", "-c", "trap '' TERM; echo ready; while :; do sleep 1; done"});
  REQUIRE(child.has_value());
  REQUIRE(child->read_exactly(6, soon()).has_value());
  const Ended how = child->stop(Duration::milliseconds(1));
  CHECK(how.signal == SIGKILL);
}

TEST_CASE("a program that is not there is said so") {
  CHECK(ChildProcess::start({"ringout-no-such-program"}).error().id == "child.not-found");
}

TEST_CASE("a program run to its end gives status and both outputs") {
  const auto run = run_to_end({"sh", "-c", "echo out; echo err >&2; exit 3"}, Duration::milliseconds(5000));
  REQUIRE(run.has_value());
  CHECK(run->how.exit_status == 3);
  CHECK(run->output == "out\nerr\n");
  const auto cut = run_to_end({"sh", "-c", "echo 0123456789"}, Duration::milliseconds(5000), 4);
  CHECK(cut.value().output == "0123");
  const auto endless = run_to_end({"sh", "-c", "while :; do sleep 1; done"}, Duration::milliseconds(1));
  CHECK(endless.value().how.signal == SIGKILL);
}

TEST_CASE("an interrupt sets the flag and nothing else") {
  catch_interrupts();
  CHECK_FALSE(interrupted());
  raise(SIGINT);
  CHECK(interrupted());
  forget_interrupt();
  CHECK_FALSE(interrupted());
}
