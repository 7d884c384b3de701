// Hold-to-run from a key. A terminal sends key repeats and no releases, so a key counts as held only while it keeps
// repeating. The first repeat comes late (a quarter to two thirds of a second), so one press alone never moves
// anything.
#pragma once

#include <optional>

#include "base/instant.h"

namespace ringout::os {

class HoldKey {
 public:
  struct Times {
    Duration first_repeat = Duration::milliseconds(800);  // longest wait between the press and its first repeat
    Duration release = Duration::milliseconds(120);       // without a repeat for so long, the key was let go
  };
  HoldKey() = default;
  explicit HoldKey(Times times) : times_(times) {}

  // The key came, as a press or as a repeat.
  void pressed(Instant now) {
    if (held_ && !held(now)) other_key();  // a new press, and no repeat of the hold before
    held_ = last_ && now - *last_ <= times_.first_repeat;
    last_ = now;
  }
  // Any other key lets go at once.
  void other_key() {
    held_ = false;
    last_.reset();
  }
  [[nodiscard]] bool held(Instant now) const { return held_ && last_ && now - *last_ <= times_.release; }

 private:
  Times times_;
  std::optional<Instant> last_;
  bool held_ = false;
};

}  // namespace ringout::os
