#include "link/clock_estimate.h"

#include <algorithm>

#include "base/check.h"

namespace ringout::link {
namespace {

std::int64_t floor_us(Instant t) {
  return t.ns / 1000;
}
std::int64_t ceiling_us(Instant t) {
  return (t.ns + 999) / 1000;
}

// The value with these low 32 bits that lies nearest to `expected`.
std::int64_t unwrapped(std::uint32_t low_bits, std::int64_t expected) {
  const auto difference = static_cast<std::int32_t>(low_bits - static_cast<std::uint32_t>(expected));
  return expected + difference;
}

std::int64_t widening_us(Duration elapsed) {
  return static_cast<std::int64_t>(static_cast<double>(elapsed.ns) * 1e-3 * ClockEstimate::drift) + 1;
}

}  // namespace

void ClockEstimate::add(Instant sent, Instant received, std::uint32_t clock_us) {
  // An older reply may come behind a newer one.
  if (!known_ || static_cast<std::int32_t>(clock_us - heard_us_) > 0) heard_us_ = clock_us;
  std::int64_t clock = clock_us;
  if (known_) clock = unwrapped(clock_us, floor_us(received) + (low_us_ + high_us_) / 2);
  const std::int64_t low = clock - ceiling_us(received);
  const std::int64_t high = clock - floor_us(sent);
  if (known_) {
    const std::int64_t wider = widening_us(received - at_);
    const std::int64_t both_low = std::max(low, low_us_ - wider);
    const std::int64_t both_high = std::min(high, high_us_ + wider);
    if (both_low <= both_high) {
      low_us_ = both_low;
      high_us_ = both_high;
      at_ = received;
      return;
    }
  }
  heard_us_ = clock_us;  // it has started anew
  low_us_ = low;
  high_us_ = high;
  at_ = received;
  known_ = true;
}

Duration ClockEstimate::uncertainty(Instant at) const {
  return Duration::microseconds(high_us_ - low_us_ + 2 * widening_us(at - at_));
}

std::uint32_t ClockEstimate::earliest_us(Instant at) const {
  RINGOUT_CHECK(known_);
  return static_cast<std::uint32_t>(floor_us(at) + low_us_ - widening_us(at - at_));
}

std::uint32_t ClockEstimate::heard_us() const {
  RINGOUT_CHECK(known_);
  return heard_us_;
}

}  // namespace ringout::link
