#include "os/pty_service.h"

#include <doctest/doctest.h>

#include <array>
#include <deque>

#include "os/clock.h"
#include "os/serial_port.h"

using namespace ringout;
using namespace ringout::os;

namespace {

// Sends every byte back one millisecond of its own time after it got it.
class EchoingController final : public link::TimedStream {
 public:
  Instant now() const override { return now_; }
  Result<void> write(std::span<const std::uint8_t> bytes) override {
    for (const std::uint8_t byte : bytes) waiting_.push_back({now_ + Duration::milliseconds(1), byte});
    return {};
  }
  link::StreamEvent wait_until(Instant deadline) override {
    if (gone) return link::Closed{{ErrorKind::unreachable, "test.gone", "gone", ""}};
    if (!waiting_.empty() && waiting_.front().first <= deadline) {
      now_ = std::max(now_, waiting_.front().first);
      const std::uint8_t byte = waiting_.front().second;
      waiting_.pop_front();
      return link::Arrived{{byte}, now_};
    }
    now_ = std::max(now_, deadline);
    return link::DeadlinePassed{};
  }
  link::StreamKind kind() const override { return link::StreamKind::simulated; }
  std::string name() const override { return "echo"; }

  bool gone = false;

 private:
  Instant now_{Duration::seconds(5).ns};
  std::deque<std::pair<Instant, std::uint8_t>> waiting_;
};

constexpr Instant wall(std::int64_t us) {
  return Instant{} + Duration::microseconds(us);
}

}  // namespace

TEST_CASE("bytes pass through the pseudo-terminal at the controller's own time") {
  EchoingController controller;
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  auto port = open_serial_port({.path = pty->path()});
  REQUIRE(port.has_value());
  PtyService service(controller, *pty, wall(0));

  const std::array<std::uint8_t, 3> sent{1, 0, 0xFF};
  REQUIRE((*port)->write(sent).has_value());
  REQUIRE(wait_readable(pty->descriptor(), monotonic_now() + Duration::milliseconds(5000)) == Readiness::readable);
  REQUIRE(service.step(wall(500)).has_value());  // taken over at 0 by the controller's time, due at 1 ms
  CHECK(std::holds_alternative<link::DeadlinePassed>((*port)->wait_until((*port)->now())));
  REQUIRE(service.step(wall(2000)).has_value());
  std::vector<std::uint8_t> got;
  while (got.size() < sent.size()) {
    const auto event = (*port)->wait_until((*port)->now() + Duration::milliseconds(5000));
    REQUIRE(std::holds_alternative<link::Arrived>(event));
    const auto& bytes = std::get<link::Arrived>(event).bytes;
    got.insert(got.end(), bytes.begin(), bytes.end());
  }
  CHECK(got == std::vector<std::uint8_t>{1, 0, 0xFF});
}

TEST_CASE("the controller follows the pacing clock, and a long gap is not made up for") {
  EchoingController controller;
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  const Instant start = controller.now();
  PtyService service(controller, *pty, wall(1'000'000));
  REQUIRE(service.step(wall(1'001'500)).has_value());
  CHECK((controller.now() - start) == Duration::microseconds(1500));
  REQUIRE(service.step(wall(61'001'500)).has_value());
  CHECK((controller.now() - start) == Duration::microseconds(11'500));
  REQUIRE(service.step(wall(61'002'500)).has_value());
  CHECK((controller.now() - start) == Duration::microseconds(12'500));
}

TEST_CASE("a controller that has ended ends the service with its reason") {
  EchoingController controller;
  controller.gone = true;
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  PtyService service(controller, *pty, wall(0));
  CHECK(service.step(wall(1000)).error().id == "test.gone");
}

TEST_CASE("typed lines are answered when they are whole") {
  EchoingController controller;
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  PtyService service(controller, *pty, wall(0));
  std::vector<std::string> lines;
  const LineCommand note = [&](const std::string& line) {
    lines.push_back(line);
    return line == "look" ? std::string() : "did " + line;
  };
  CHECK(service.commands("press li", note).empty());
  CHECK(service.commands("ft_top\nlook\nrelease", note) == "did press lift_top\n");
  CHECK(service.commands(" lift_top\n", note) == "did release lift_top\n");
  CHECK(lines == std::vector<std::string>{"press lift_top", "look", "release lift_top"});
}
