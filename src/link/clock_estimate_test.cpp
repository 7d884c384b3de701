#include "link/clock_estimate.h"

#include <doctest/doctest.h>

#include <random>

namespace ringout::link {
namespace {

// An agent whose clock runs `rate` times as fast as the host's and started at some other time, near its wrap.
struct AgentClock {
  double rate = 1.0;
  std::int64_t start_us = 0xFFFFFFFFLL - 2'000'000;
  [[nodiscard]] std::uint32_t at(Instant t) const {
    return static_cast<std::uint32_t>(start_us + static_cast<std::int64_t>(static_cast<double>(t.ns) * rate / 1000.0));
  }
};

TEST_CASE("the earliest estimate never lies after the agent's clock, and near it") {
  std::mt19937 random(11);
  for (const double rate : {1.0, 0.996, 1.004}) {
    CAPTURE(rate);
    const AgentClock clock{.rate = rate};
    ClockEstimate estimate;
    Instant t{};
    for (int i = 0; i < 4000; ++i) {
      const Instant sent = t;
      const Instant read = sent + Duration::microseconds(200 + random() % 800);
      const Instant received = read + Duration::microseconds(200 + random() % 800);
      estimate.add(sent, received, clock.at(read));
      t = received + Duration::milliseconds(random() % 10);
      const auto late_by = static_cast<std::int32_t>(clock.at(t) - estimate.earliest_us(t));
      REQUIRE(late_by >= 0);
      REQUIRE(late_by <= estimate.uncertainty(t).ns / 1000 + 2);
      REQUIRE(late_by < 2200);
    }
  }
}

TEST_CASE("a clock that starts anew is taken over") {
  ClockEstimate estimate;
  estimate.add(Instant{0}, Instant{1'000'000}, 5'000'000);
  estimate.add(Instant{10'000'000}, Instant{11'000'000}, 100);
  const Instant t{12'000'000};
  CHECK(estimate.earliest_us(t) <= 2100);
  CHECK(estimate.earliest_us(t) >= 1000);
  CHECK(estimate.heard_us() == 100);
}

TEST_CASE("the newest clock that was heard, also where an older reply comes behind and where the clock wraps") {
  ClockEstimate estimate;
  estimate.add(Instant{1'000'000'000}, Instant{1'000'200'000}, 0xFFFF'FF00);
  CHECK(estimate.heard_us() == 0xFFFF'FF00);
  estimate.add(Instant{1'001'000'000}, Instant{1'001'200'000}, 0x0000'02E8);
  CHECK(estimate.heard_us() == 0x0000'02E8);
  estimate.add(Instant{1'000'500'000}, Instant{1'001'300'000}, 0x0000'00F4);
  CHECK(estimate.heard_us() == 0x0000'02E8);
  estimate.forget();
  estimate.add(Instant{2'000'000'000}, Instant{2'000'200'000}, 12);
  CHECK(estimate.heard_us() == 12);
}

}  // namespace
}  // namespace ringout::link
