// Levels of all bridges: what is asked for, what is applied now, and the slope between.
#pragma once

#include <stdint.h>

#include "agent/board.h"
#include "agent/limits.h"

namespace ringout {
namespace agent {

class Outputs {
 public:
  // From the tick or with interrupts locked. slope: most change a millisecond; 0: at once. A level of 0 takes
  // effect at once: off is never delayed by a slope.
  void set(uint8_t bridge, int16_t level, uint16_t slope) {
    bridges_[bridge].target = level;
    bridges_[bridge].slope = slope;
  }
  void forget_all() {
    for (uint8_t i = 0; i < wire::max_bridges; ++i) bridges_[i] = Bridge();
  }
  int16_t target(uint8_t bridge) const { return bridges_[bridge].target; }
  int16_t applied(uint8_t bridge) const { return bridges_[bridge].applied; }
  bool any_on(uint8_t bridges) const {
    for (uint8_t i = 0; i < bridges; ++i) {
      if (bridges_[i].target != 0 || bridges_[i].applied != 0) return true;
    }
    return false;
  }
  // The next level of one bridge on its way to the target.
  int16_t next(uint8_t bridge) const {
    const Bridge& b = bridges_[bridge];
    if (b.slope == 0 || b.target == 0) return b.target;
    const int32_t change = static_cast<int32_t>(b.target) - b.applied;
    const int32_t most = b.slope;
    if (change > most) return static_cast<int16_t>(b.applied + most);
    if (change < -most) return static_cast<int16_t>(b.applied - most);
    return b.target;
  }
  void note_applied(uint8_t bridge, int16_t level) { bridges_[bridge].applied = level; }

 private:
  struct Bridge {
    int16_t target = 0;
    int16_t applied = 0;
    uint16_t slope = 0;
  };
  Bridge bridges_[wire::max_bridges];
};

}  // namespace agent
}  // namespace ringout
