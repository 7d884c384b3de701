// One bump: a short, small, bounded excitation of one bridge, open loop, watched by every sensor of the board.
#pragma once

#include <stdint.h>

#include "agent/board.h"
#include "agent/limits.h"
#include "wire/codes.h"
#include "wire/messages.h"

namespace ringout {
namespace agent {

class Bump {
 public:
  // Takes the sensors as they are now for the start.
  void start(const wire::Bump& request, const Board& board, uint16_t analogue_mask, uint32_t clock_us);
  void end() { active_ = false; }

  bool active() const { return active_; }
  uint8_t port() const { return request_.port; }
  uint16_t elapsed_ms(uint32_t clock_us) const;
  // Level by now: up the slope, hold, and down the slope to the end of the duration.
  int16_t level(uint32_t clock_us) const;
  // none while the bump may go on, else why it must end.
  wire::StopCause judge(const Board& board, uint16_t switch_levels, uint32_t clock_us) const;

 private:
  bool active_ = false;
  wire::Bump request_;
  uint32_t started_us_ = 0;
  uint16_t switches_ = 0;
  uint16_t analogue_mask_ = 0;
  int32_t encoders_[wire::max_encoders] = {};
  uint16_t analogues_[wire::max_adc_channels] = {};
};

}  // namespace agent
}  // namespace ringout
