// Consistent overhead byte stuffing (Cheshire & Baker 1999): bytes without zeros, so that a zero ends a frame.
// Each block is a code byte (its distance to the next zero) and the non-zero bytes before that zero; code 0xFF stands
// for 254 bytes without a zero after them. A full block at the very end is not followed by an empty one.
#pragma once

#include <stdint.h>

namespace ringout {
namespace wire {

// Encodes in place a frame shorter than 254 bytes that stands at frame[1 .. size]; frame[0] becomes the first code and
// frame[size + 1] the closing zero. Returns the bytes to send.
inline uint16_t cobs_close_in_place(uint8_t* frame, uint16_t size) {
  uint16_t code_at = 0;
  for (uint16_t i = 1; i <= size; ++i) {
    if (frame[i] == 0) {
      frame[code_at] = static_cast<uint8_t>(i - code_at);
      code_at = i;
    }
  }
  frame[code_at] = static_cast<uint8_t>(size + 1 - code_at);
  frame[size + 1] = 0;
  return static_cast<uint16_t>(size + 2);
}

// Decodes byte by byte: for each encoded byte says what came out of it.
class CobsDecoder {
 public:
  enum class Step : uint8_t { nothing, byte, end, broken_end };

  // `out` is set for Step::byte. A zero ends the frame: `end`, or `broken_end` when it stands inside a block.
  Step push(uint8_t encoded, uint8_t& out) {
    if (encoded == 0) {
      const Step result = left_ == 0 ? Step::end : Step::broken_end;
      left_ = 0;
      zero_due_ = false;
      return result;
    }
    if (left_ == 0) {
      const bool zero_now = zero_due_;
      left_ = static_cast<uint8_t>(encoded - 1);
      zero_due_ = encoded != 0xFF;
      if (!zero_now) return Step::nothing;
      out = 0;
      return Step::byte;
    }
    left_ = static_cast<uint8_t>(left_ - 1);
    out = encoded;
    return Step::byte;
  }

 private:
  uint8_t left_ = 0;       // bytes to come in this block
  bool zero_due_ = false;  // a zero stands between this block and a next one
};

}  // namespace wire
}  // namespace ringout
