#include "link/flaky_stream.h"

#include <doctest/doctest.h>

#include <numeric>

#include "link/memory_stream.h"

namespace ringout::link {
namespace {

std::vector<std::uint8_t> counted(std::size_t size) {
  std::vector<std::uint8_t> bytes(size);
  std::iota(bytes.begin(), bytes.end(), std::uint8_t{0});
  return bytes;
}

std::vector<std::uint8_t> received_until(TimedStream& stream, Instant deadline) {
  std::vector<std::uint8_t> all;
  while (stream.now() < deadline) {
    StreamEvent event = stream.wait_until(deadline);
    if (const auto* arrived = std::get_if<Arrived>(&event)) {
      all.insert(all.end(), arrived->bytes.begin(), arrived->bytes.end());
    } else {
      break;
    }
  }
  return all;
}

TEST_CASE("a healthy line changes nothing") {
  MemoryStream line;
  FlakyStream flaky(line, {}, 1);
  const auto bytes = counted(200);
  REQUIRE(flaky.write(bytes));
  CHECK(line.written() == bytes);
  line.arrive(bytes, Duration::milliseconds(3));
  CHECK(received_until(flaky, flaky.now() + Duration::milliseconds(10)) == bytes);
  CHECK(flaky.damaged_bytes() == 0);
}

TEST_CASE("each kind of damage happens at its rate, within four standard errors") {
  struct Case {
    const char* name;
    LineDamage damage;
  };
  const double rate = 0.01;
  const Case cases[] = {{"flip", {.flip = rate}},
                        {"drop", {.drop = rate}},
                        {"duplicate", {.duplicate = rate}},
                        {"delay", {.delay = rate}},
                        {"reorder", {.reorder = rate}}};
  for (const Case& c : cases) {
    CAPTURE(c.name);
    MemoryStream line;
    FlakyStream flaky(line, c.damage, 5);
    const std::size_t size = 100'000;
    REQUIRE(flaky.write(std::vector<std::uint8_t>(size, 0x55)));
    (void)received_until(flaky, flaky.now() + Duration::milliseconds(1000));
    const double expected = rate * static_cast<double>(size);
    CHECK(std::abs(static_cast<double>(flaky.damaged_bytes()) - expected) < 4 * std::sqrt(expected));
    const auto got = static_cast<double>(line.written().size());
    if (c.damage.drop > 0) {
      CHECK(got == doctest::Approx(static_cast<double>(size) - expected).epsilon(0.002));
    } else if (c.damage.duplicate > 0) {
      CHECK(got == doctest::Approx(static_cast<double>(size) + expected).epsilon(0.002));
    } else {
      CHECK(got == static_cast<double>(size));
    }
  }
}

TEST_CASE("delayed bytes come in their order, later, in both directions") {
  MemoryStream line;
  FlakyStream flaky(line, {.delay = 1.0, .longest_delay = Duration::milliseconds(20)}, 3);
  const auto bytes = counted(50);
  REQUIRE(flaky.write(bytes));
  CHECK(line.written().empty());
  line.arrive(bytes, Duration::milliseconds(1));
  CHECK(received_until(flaky, flaky.now() + Duration::milliseconds(50)) == bytes);
  CHECK(line.written() == bytes);
}

TEST_CASE("a pulled cable loses the write and closes the stream") {
  MemoryStream line;
  FlakyStream flaky(line, {}, 1);
  flaky.pull_out_after_writes(2);
  const auto bytes = counted(3);
  CHECK(flaky.write(bytes));
  CHECK(flaky.write(bytes));
  const auto third = flaky.write(bytes);
  REQUIRE_FALSE(third);
  CHECK(third.error().kind == ErrorKind::unreachable);
  CHECK(line.written().size() == 6);
  CHECK(std::holds_alternative<Closed>(flaky.wait_until(flaky.now())));
}

TEST_CASE("the same seed damages the same bytes") {
  std::vector<std::uint8_t> first;
  for (int run = 0; run < 2; ++run) {
    MemoryStream line;
    FlakyStream flaky(line, LineDamage::of_each(0.05), 42);
    REQUIRE(flaky.write(counted(250)));
    (void)received_until(flaky, flaky.now() + Duration::milliseconds(100));
    if (run == 0) first = line.written();
    CHECK(line.written() == first);
    CHECK(line.written() != counted(250));
  }
}

}  // namespace
}  // namespace ringout::link
