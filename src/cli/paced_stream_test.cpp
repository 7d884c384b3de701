#include "cli/paced_stream.h"

#include <doctest/doctest.h>

#include <algorithm>

namespace ringout::cli {
namespace {

// Advances at once to whatever it is told; one byte comes at `byte_at`.
class InstantStream : public link::TimedStream {
 public:
  explicit InstantStream(Instant byte_at) : byte_at_(byte_at) {}
  Instant now() const override { return now_; }
  Result<void> write(std::span<const std::uint8_t>) override { return {}; }
  link::StreamEvent wait_until(Instant deadline) override {
    if (now_ < byte_at_ && byte_at_ <= deadline) {
      now_ = byte_at_;
      return link::Arrived{{7}, now_};
    }
    now_ = std::max(now_, deadline);
    return link::DeadlinePassed{};
  }
  link::StreamKind kind() const override { return link::StreamKind::simulated; }
  std::string name() const override { return "instant"; }

 private:
  Instant now_;
  Instant byte_at_;
};

constexpr Instant at_ms(std::int64_t ms) {
  return Instant{ms * 1'000'000};
}

}  // namespace

TEST_CASE("virtual time never runs ahead of the clock, and bytes still come at their time") {
  Instant wall = at_ms(1000);
  PacedStream stream(std::make_unique<InstantStream>(at_ms(42)),
                     {[&] { return wall; }, [&](Instant due) { wall = std::max(wall, due); }});
  const auto event = stream.wait_until(at_ms(100));
  REQUIRE(std::holds_alternative<link::Arrived>(event));
  CHECK(std::get<link::Arrived>(event).at == at_ms(42));
  CHECK(wall == at_ms(1042));
  CHECK(std::holds_alternative<link::DeadlinePassed>(stream.wait_until(at_ms(100))));
  CHECK(stream.now() == at_ms(100));
  CHECK(wall == at_ms(1100));
}

TEST_CASE("time that a person spent on an answer is not made up for") {
  Instant wall = at_ms(0);
  PacedStream stream(std::make_unique<InstantStream>(at_ms(1'000'000)),
                     {[&] { return wall; }, [&](Instant due) { wall = std::max(wall, due); }});
  (void)stream.wait_until(at_ms(50));
  wall = at_ms(60'000);
  (void)stream.wait_until(at_ms(60));
  (void)stream.wait_until(at_ms(160));
  CHECK(wall == at_ms(60'105));  // paced again from the first step of 5 ms after the pause on
}

}  // namespace ringout::cli
