// Judges what really moved against what the host asked for at that moment. A wish stands from the moment it is sent
// until it is withdrawn; after that an output may stay on for as long as a frame may be late (its life) and the agent
// waits for the next word (hold lapse), and not a millisecond longer. A level that another one replaces ends alike;
// where the line loses frames it may go on, held, until the last repeat of the unanswered frame has come.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/instant.h"
#include "link/client.h"

namespace ringout::device_tests {

class MotionWatch {
 public:
  enum class Line { whole, loses_frames };
  explicit MotionWatch(Line line = Line::whole) : line_(line) {}

  // To be called with everything the client sends that can cause or end motion.
  void intent(const link::Intent& intent);
  // The host holds no longer: it has stopped, released, or lost its permission.
  void withdrawn(Instant at);
  // The levels applied at the bridges at this moment, in permille.
  void applied(Instant at, std::span<const std::int16_t> levels);

  [[nodiscard]] std::uint64_t moving_ms() const { return moving_ms_; }
  [[nodiscard]] const std::vector<std::string>& unasked() const { return unasked_; }

  // Longest time from a withdrawal to an output that was still on by it.
  [[nodiscard]] Duration longest_tail() const { return longest_tail_; }
  static constexpr Duration tail = Duration::milliseconds(25 + wire::hold_lapse_ms + 2);

 private:
  struct Wish {
    int port;
    int level_permille;
    Instant from;
    Instant until;
    std::optional<Instant> withdrawn_at;
  };
  Line line_;
  std::vector<Wish> wishes_;
  std::vector<std::string> unasked_;
  std::uint64_t moving_ms_ = 0;
  Duration longest_tail_{};
};

}  // namespace ringout::device_tests
