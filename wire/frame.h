// Frames: COBS( type u8, tag u8, payload, check little-endian ) 0x00, decoded at most 128 bytes.
// The check is CRC-32/ISO-HDLC, on samples (type 0xC0..0xCF) CRC-16/IBM-3740; it covers type, tag and payload.
#pragma once

#include <stdint.h>

#include "wire/bytes.h"
#include "wire/cobs.h"
#include "wire/crc.h"
#include "wire/protocol.h"

namespace ringout {
namespace wire {

struct Frame {
  uint8_t type = 0;
  uint8_t tag = 0;
  const uint8_t* payload = nullptr;
  uint16_t size = 0;  // of the payload
};

// Builds one frame in a buffer of its own and encodes it in place.
class FrameBuilder {
 public:
  // Starts a frame; write the payload into the returned writer, then close().
  Writer begin(uint8_t type, uint8_t tag) {
    bytes_[1] = type;
    bytes_[2] = tag;
    return Writer(bytes_ + 3, max_payload_bytes);
  }
  // Adds check and framing; returns the number of bytes at bytes(), 0 where the payload did not fit.
  uint16_t close(const Writer& payload) {
    if (!payload.ok()) return 0;
    uint16_t size = static_cast<uint16_t>(payload.size() + 2);
    if (is_sample(bytes_[1])) {
      const uint16_t check = crc16(bytes_ + 1, size);
      Writer(bytes_ + 1 + size, 2).u16(check);
      size = static_cast<uint16_t>(size + 2);
    } else {
      const uint32_t check = crc32(bytes_ + 1, size);
      Writer(bytes_ + 1 + size, 4).u32(check);
      size = static_cast<uint16_t>(size + 4);
    }
    return cobs_close_in_place(bytes_, size);
  }
  const uint8_t* bytes() const { return bytes_; }

 private:
  uint8_t bytes_[max_encoded_bytes] = {};
};

// Finds frames in a stream of bytes, one byte at a time; whatever comes, it is in step again after the next zero.
class FrameDecoder {
 public:
  enum class Event : uint8_t {
    nothing,
    frame,    // frame() is valid until the next push
    damaged,  // check, length or framing is wrong; nothing of it is to be used
  };

  Event push(uint8_t encoded) {
    uint8_t decoded;
    switch (cobs_.push(encoded, decoded)) {
      case CobsDecoder::Step::nothing:
        empty_ = false;
        return Event::nothing;
      case CobsDecoder::Step::byte:
        take(decoded);
        return Event::nothing;
      case CobsDecoder::Step::end:
        return finish(empty_ ? Event::nothing : (whole() ? Event::frame : Event::damaged));
      default:
        return finish(Event::damaged);
    }
  }

  Frame frame() const {
    Frame f;
    f.type = bytes_[0];
    f.tag = bytes_[1];
    f.payload = bytes_ + 2;
    f.size = static_cast<uint16_t>(frame_size_ - 2 - check_bytes(bytes_[0]));
    return f;
  }

 private:
  static uint8_t check_bytes(uint8_t type) { return is_sample(type) ? 2 : 4; }

  void take(uint8_t byte) {
    empty_ = false;
    if (size_ >= max_frame_bytes) {
      too_long_ = true;
      return;
    }
    bytes_[size_] = byte;
    size_ = static_cast<uint16_t>(size_ + 1);
    if (!is_sample(bytes_[0])) crc32_.add(byte);  // spread over the bytes, so that no one call is long
  }

  bool whole() const {
    if (too_long_ || size_ < 2 + 2) return false;
    if (!is_sample(bytes_[0])) return size_ >= 2 + 4 && crc32_.holds();
    const uint16_t covered = static_cast<uint16_t>(size_ - 2);
    const uint16_t check = static_cast<uint16_t>(bytes_[covered] | (static_cast<uint16_t>(bytes_[covered + 1]) << 8));
    return crc16(bytes_, covered) == check;
  }

  Event finish(Event event) {
    frame_size_ = size_;
    size_ = 0;
    empty_ = true;
    too_long_ = false;
    crc32_ = Crc32();
    return event;
  }

  CobsDecoder cobs_;
  Crc32 crc32_;
  uint8_t bytes_[max_frame_bytes] = {};
  uint16_t size_ = 0;
  uint16_t frame_size_ = 0;
  bool empty_ = true;
  bool too_long_ = false;
};

// Matches the stop frame, byte by byte; small enough for a receive interrupt.
class StopMatcher {
 public:
  // True with the last byte of a stop frame.
  bool push(uint8_t byte) {
    if (byte == stop_frame_byte(at_)) {
      at_ = static_cast<uint8_t>(at_ + 1);
      if (at_ < stop_frame_bytes) return false;
      at_ = 0;
      return true;
    }
    at_ = byte == stop_frame_byte(0) ? 1 : 0;
    return false;
  }

 private:
  uint8_t at_ = 0;
};

}  // namespace wire
}  // namespace ringout
