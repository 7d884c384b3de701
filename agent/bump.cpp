#include "agent/bump.h"

namespace ringout {
namespace agent {

using wire::StopCause;

void Bump::start(const wire::Bump& request, const Board& board, uint16_t analogue_mask, uint32_t clock_us) {
  request_ = request;
  started_us_ = clock_us;
  switches_ = board.switch_levels(board.context);
  analogue_mask_ = analogue_mask;
  for (uint8_t i = 0; i < board.encoders; ++i) encoders_[i] = board.encoder_count(board.context, i);
  for (uint8_t i = 0; i < board.adc_channels; ++i) analogues_[i] = board.adc_raw(board.context, i);
  active_ = true;
}

uint16_t Bump::elapsed_ms(uint32_t clock_us) const {
  const uint32_t ms = (clock_us - started_us_) / 1000;
  return ms < 0xFFFF ? static_cast<uint16_t>(ms) : 0xFFFF;
}

int16_t Bump::level(uint32_t clock_us) const {
  const uint32_t elapsed = elapsed_ms(clock_us) + 1u;  // the level for the millisecond that begins now
  if (elapsed > request_.duration_ms) return 0;
  const uint32_t left = request_.duration_ms - elapsed + 1u;
  const uint32_t nearer = elapsed < left ? elapsed : left;
  const uint32_t ramp = nearer * request_.slope_permille_per_ms;
  const int16_t full = request_.level_permille;
  const uint32_t size = static_cast<uint32_t>(full < 0 ? -full : full);
  const int16_t now = static_cast<int16_t>(ramp < size ? ramp : size);
  return full < 0 ? static_cast<int16_t>(-now) : now;
}

StopCause Bump::judge(const Board& board, uint16_t switch_levels, uint32_t clock_us) const {
  if (((switch_levels ^ switches_) & static_cast<uint16_t>(~request_.allowed_switches)) != 0) {
    return StopCause::end_switch;
  }
  for (uint8_t i = 0; i < board.encoders; ++i) {
    const int32_t moved = board.encoder_count(board.context, i) - encoders_[i];
    if (moved > request_.encoder_allowance || -moved > request_.encoder_allowance) return StopCause::travel_bound;
  }
  for (uint8_t i = 0; i < board.adc_channels; ++i) {
    if (((analogue_mask_ >> i) & 1) == 0) continue;
    const int32_t moved = static_cast<int32_t>(board.adc_raw(board.context, i)) - analogues_[i];
    if (moved > request_.analogue_allowance || -moved > request_.analogue_allowance) return StopCause::travel_bound;
  }
  return elapsed_ms(clock_us) >= request_.duration_ms ? StopCause::duration_over : StopCause::none;
}

}  // namespace agent
}  // namespace ringout
