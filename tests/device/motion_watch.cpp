#include "motion_watch.h"

#include <algorithm>
#include <cstdlib>

namespace ringout::device_tests {
namespace {

constexpr Instant open_end{INT64_MAX / 2};

}  // namespace

void MotionWatch::intent(const link::Intent& intent) {
  if (intent.type == wire::type_stop || intent.type == wire::type_release) {
    withdrawn(intent.at);
  } else if (intent.type == wire::type_drive) {
    // The same wish sent again goes on; another level replaces it.
    const link::Times times;
    const Duration repeated = line_ == Line::loses_frames ? times.reply * times.repeats : Duration{};
    for (Wish& wish : wishes_) {
      const bool other = wish.port == intent.port && wish.level_permille != intent.level_permille;
      if (other && wish.until == open_end) wish.until = intent.at + tail + repeated;
    }
    wishes_.push_back({.port = intent.port,
                       .level_permille = intent.level_permille,
                       .from = intent.at,
                       .until = open_end,
                       .withdrawn_at = {}});
  } else if (intent.type == wire::type_bump) {
    wishes_.push_back({.port = intent.port,
                       .level_permille = intent.level_permille,
                       .from = intent.at,
                       .until = intent.not_after + intent.lasts + Duration::milliseconds(2),
                       .withdrawn_at = {}});
  }
}

void MotionWatch::withdrawn(Instant at) {
  for (Wish& wish : wishes_) {
    wish.until = std::min(wish.until, at + tail);
    if (!wish.withdrawn_at) wish.withdrawn_at = at;
  }
}

void MotionWatch::applied(Instant at, std::span<const std::int16_t> levels) {
  std::erase_if(wishes_, [&](const Wish& wish) { return wish.until < at; });
  bool moving = false;
  for (std::size_t port = 0; port < levels.size(); ++port) {
    const int level = levels[port];
    if (level == 0) continue;
    moving = true;
    bool asked = false;
    std::optional<Duration> late_by;  // shortest over the wishes that explain it
    for (const Wish& wish : wishes_) {
      const bool explains = wish.port == static_cast<int>(port) && (wish.level_permille > 0) == (level > 0) &&
                            std::abs(level) <= std::abs(wish.level_permille) && wish.from <= at;
      if (!explains) continue;
      const Duration late = wish.withdrawn_at ? at - *wish.withdrawn_at : Duration{};
      late_by = late_by ? std::min(*late_by, late) : late;
      asked = true;
    }
    if (late_by) longest_tail_ = std::max(longest_tail_, *late_by);
    if (!asked) {
      unasked_.push_back("bridge " + std::to_string(port) + " at " + std::to_string(level) + " permille at " +
                         std::to_string(at.ns / 1000000) + " ms");
    }
  }
  if (moving) ++moving_ms_;
}

}  // namespace ringout::device_tests
