// A bad line: a TimedStream that flips, drops, duplicates, delays and reorders the bytes of another one, in both
// directions, seeded. For tests and for showing what a bad cable does; it can be healed and pulled out.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <random>

#include "link/timed_stream.h"

namespace ringout::link {

// Chance of each fault per byte, 0..1.
struct LineDamage {
  double flip = 0.0;       // one of its bits is inverted
  double drop = 0.0;       // it never arrives
  double duplicate = 0.0;  // it arrives twice
  double delay = 0.0;      // it and everything behind it arrives late, by up to `longest_delay`
  double reorder = 0.0;    // it changes places with its successor
  Duration longest_delay = Duration::milliseconds(20);

  [[nodiscard]] static LineDamage of_each(double rate) {
    return {.flip = rate, .drop = rate, .duplicate = rate, .delay = rate, .reorder = rate};
  }
};

class FlakyStream : public TimedStream {
 public:
  FlakyStream(TimedStream& line, LineDamage damage, std::uint64_t seed);

  // From now on; bytes already on their way keep their fate.
  void set_damage(LineDamage damage) { damage_ = damage; }
  // The cable comes out at the n-th write from now (0: at the next one): that write is lost and the stream is closed.
  void pull_out_after_writes(std::uint64_t writes) { writes_left_ = writes; }
  void pull_out() { pulled_ = true; }
  [[nodiscard]] std::uint64_t writes() const { return writes_; }
  [[nodiscard]] std::uint64_t damaged_bytes() const { return damaged_; }

  [[nodiscard]] Instant now() const override { return line_.now(); }
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override;
  [[nodiscard]] StreamEvent wait_until(Instant deadline) override;
  [[nodiscard]] StreamKind kind() const override { return line_.kind(); }
  [[nodiscard]] std::string name() const override { return line_.name(); }

 private:
  struct Travelling {
    std::uint8_t byte;
    Instant due;
  };
  using Queue = std::deque<Travelling>;

  void travel(Queue& queue, std::uint8_t byte, Instant at);
  [[nodiscard]] Result<void> hand_over_due();
  [[nodiscard]] std::vector<std::uint8_t> take_due(Queue& queue) const;
  [[nodiscard]] bool happens(double chance);

  TimedStream& line_;
  LineDamage damage_;
  std::mt19937_64 random_;
  Queue outward_;
  Queue inward_;
  bool pulled_ = false;
  std::optional<std::uint64_t> writes_left_;
  std::uint64_t writes_ = 0;
  std::uint64_t damaged_ = 0;
};

}  // namespace ringout::link
