// The agent's clock as seen from the host. Each reply carries the agent's clock, read somewhere between the request's
// sending and the reply's arrival; so the offset lies in an interval, and intervals intersect:
//
//   clock − received ≤ offset ≤ clock − sent        [µs], offset = agent's clock − host's clock
//
// Between replies the interval widens by the clocks' drift. A motion's "not after" is counted from the lower edge, so
// that it never lies later than the host meant.
#pragma once

#include <cstdint>
#include <optional>

#include "base/instant.h"

namespace ringout::link {

class ClockEstimate {
 public:
  // Largest drift between the two clocks. A ceramic resonator of 0.5 % and a margin.
  static constexpr double drift = 0.006;

  void forget() { known_ = false; }
  // A reply to a request sent at `sent` arrived at `received` and carries `clock_us` (wraps at 32 bits).
  void add(Instant sent, Instant received, std::uint32_t clock_us);
  [[nodiscard]] bool known() const { return known_; }
  // Width of the interval at this moment.
  [[nodiscard]] Duration uncertainty(Instant at) const;
  // The agent's clock at this moment, at least; to be used only when known().
  [[nodiscard]] std::uint32_t earliest_us(Instant at) const;
  // The agent's clock in the newest reply: what is sent from now on is done after it. To be used only when known().
  [[nodiscard]] std::uint32_t heard_us() const;

 private:
  bool known_ = false;
  std::uint32_t heard_us_ = 0;
  std::int64_t low_us_ = 0;
  std::int64_t high_us_ = 0;
  Instant at_;
};

}  // namespace ringout::link
