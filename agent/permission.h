// Permission to move: a token that never repeats within a power-up, and a sequence that only rises within a token, so
// that a late, repeated or reordered frame moves nothing.
#pragma once

#include <stdint.h>

#include "wire/codes.h"
#include "wire/messages.h"

namespace ringout {
namespace agent {

// A bijection, so that different numbers stay different.
inline uint32_t mixed(uint32_t x) {
  x ^= x >> 16;
  x *= 0x7FEB352Dul;
  x ^= x >> 15;
  x *= 0x846CA68Bul;
  x ^= x >> 16;
  return x;
}

class Permission {
 public:
  void start(uint32_t entropy) { counter_ = entropy; }

  // Gives a fresh token. The receive interrupt may take the permission away at any moment after this.
  uint32_t give(uint32_t nonce) {
    do {
      counter_ = counter_ + 1;
      token_ = mixed(counter_);
    } while (token_ == 0);
    nonce_ = nonce;
    sequence_ = 0;
    live_ = true;
    return token_;
  }
  void void_it() { live_ = false; }

  bool live() const { return live_; }
  bool given_for(uint32_t nonce) const { return live_ && nonce == nonce_; }
  bool fresh() const { return sequence_ == 0; }  // no motion frame has been taken yet
  uint32_t token() const { return token_; }
  uint32_t sequence() const { return sequence_; }

  // Judges a motion frame; the sequence is used up even by a frame that comes too late.
  wire::Status judge(const wire::MotionHeader& frame, uint32_t clock_us) {
    if (!live_) return wire::Status::no_permission;
    if (frame.token != token_) return wire::Status::wrong_token;
    if (frame.sequence <= sequence_) return wire::Status::old_sequence;
    const int32_t ahead_us = static_cast<int32_t>(frame.not_after_us - clock_us);
    if (ahead_us > static_cast<int32_t>(wire::max_frame_life_us)) return wire::Status::out_of_bounds;
    sequence_ = frame.sequence;
    return ahead_us < 0 ? wire::Status::too_late : wire::Status::ok;
  }

 private:
  uint32_t counter_ = 0;
  uint32_t token_ = 0;
  uint32_t nonce_ = 0;
  uint32_t sequence_ = 0;
  volatile bool live_ = false;
};

}  // namespace agent
}  // namespace ringout
