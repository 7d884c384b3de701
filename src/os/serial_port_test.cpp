#include "os/serial_port.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/stat.h>

#include <array>
#include <optional>

#include "os/clock.h"
#include "os/pty.h"

using namespace ringout;
using namespace ringout::os;

namespace {

constexpr Duration plenty = Duration::milliseconds(5000);

struct Line {
  std::optional<Pty> far;
  std::unique_ptr<link::TimedStream> port;
};

Line joined() {
  Line line;
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  auto port = open_serial_port({.path = pty->path()});
  REQUIRE_MESSAGE(port.has_value(), (port ? "" : port.error().message));
  line.far.emplace(std::move(*pty));
  line.port = std::move(*port);
  return line;
}

std::vector<std::uint8_t> every_byte() {
  std::vector<std::uint8_t> all(256);
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<std::uint8_t>(i);
  return all;
}

std::string refusal(const std::string& path) {
  const auto port = open_serial_port({.path = path});
  REQUIRE_FALSE(port.has_value());
  CHECK(port.error().kind == ErrorKind::unreachable);
  CHECK(port.error().message.find(path) != std::string::npos);
  return port.error().id;
}

}  // namespace

TEST_CASE("every byte value passes unchanged in both directions") {
  Line line = joined();
  const auto all = every_byte();
  REQUIRE(line.port->write(all).has_value());
  std::vector<std::uint8_t> got;
  while (got.size() < all.size()) {
    REQUIRE(wait_readable(line.far->descriptor(), monotonic_now() + plenty) == Readiness::readable);
    const auto part = line.far->read();
    got.insert(got.end(), part.begin(), part.end());
  }
  CHECK(got == all);

  CHECK(line.far->write(all) == all.size());
  got.clear();
  while (got.size() < all.size()) {
    const auto event = line.port->wait_until(line.port->now() + plenty);
    const auto* arrived = std::get_if<link::Arrived>(&event);
    REQUIRE(arrived != nullptr);
    got.insert(got.end(), arrived->bytes.begin(), arrived->bytes.end());
  }
  CHECK(got == all);
  CHECK(line.port->kind() == link::StreamKind::hardware);
  CHECK(line.port->name() == line.far->path());
}

TEST_CASE("a quiet line reaches its deadline and stays open") {
  Line line = joined();
  const Instant before = line.port->now();
  CHECK(std::holds_alternative<link::DeadlinePassed>(line.port->wait_until(before + Duration::milliseconds(2))));
  CHECK(line.port->now() >= before + Duration::milliseconds(2));
  CHECK(std::holds_alternative<link::DeadlinePassed>(line.port->wait_until(before)));
  CHECK(line.port->write(std::array<std::uint8_t, 1>{7}).has_value());
}

TEST_CASE("a cable pulled out closes the stream, for reading and for writing") {
  Line line = joined();
  line.far.reset();
  const auto event = line.port->wait_until(line.port->now() + plenty);
  const auto* closed = std::get_if<link::Closed>(&event);
  REQUIRE(closed != nullptr);
  CHECK(closed->why.id == "link.unplugged");
  const auto written = line.port->write(std::array<std::uint8_t, 1>{7});
  REQUIRE_FALSE(written.has_value());
  CHECK(written.error().id == "link.unplugged");
}

TEST_CASE("a line that nobody drains fails in the end instead of blocking") {
  Line line = joined();
  const std::vector<std::uint8_t> flood(1u << 20, 0x55);
  const auto written = line.port->write(flood);
  REQUIRE_FALSE(written.has_value());
  CHECK(written.error().id == "link.line-stuck");
}

TEST_CASE("a port in use is refused and free again after its user has gone") {
  Line line = joined();
  CHECK(refusal(line.far->path()) == "link.port-in-use");
  line.port.reset();
  CHECK(open_serial_port({.path = line.far->path()}).has_value());
}

TEST_CASE("what is no serial device is refused by its own reason") {
  CHECK(refusal("/dev/ringout-no-such-port") == "link.no-such-device");
  CHECK(refusal("/dev/null") == "link.not-a-terminal-device");
  CHECK(refusal("/tmp") == "link.not-a-terminal-device");
}

TEST_CASE("no permission names the group that has it") {
  if (geteuid() == 0) {
    MESSAGE("the superuser may open everything; this case needs an ordinary account");
    return;
  }
  auto pty = Pty::open();
  REQUIRE(pty.has_value());
  REQUIRE(chmod(pty->path().c_str(), 0) == 0);
  const auto port = open_serial_port({.path = pty->path()});
  REQUIRE_FALSE(port.has_value());
  CHECK(port.error().id == "link.permission-denied");
  CHECK(port.error().message.find("group") != std::string::npos);
}

TEST_CASE("a rate is taken within two percent") {
  CHECK(check_rate("p", 1'000'000, 1'000'000).has_value());
  CHECK(check_rate("p", 115'200, 117'500).has_value());
  CHECK_FALSE(check_rate("p", 115'200, 117'600).has_value());
  const auto slow = check_rate("/dev/ttyS0", 1'000'000, 9'600);
  REQUIRE_FALSE(slow.has_value());
  CHECK(slow.error().id == "link.rate-not-taken");
  CHECK(slow.error().message == "/dev/ttyS0 was asked for 1000000 baud and runs at 9600");
}
