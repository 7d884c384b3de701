// Bytes from the receive interrupt to the tick: one writer, one reader, no lock. A byte that finds the ring full is
// lost and counted.
#pragma once

#include <stdint.h>

#include "agent/limits.h"

namespace ringout {
namespace agent {

class ReceiveRing {
 public:
  // Receive interrupt only.
  void put(uint8_t byte) {
    const uint8_t head = head_;
    const uint8_t next = static_cast<uint8_t>(head + 1);
    if (next == tail_) {
      lost_ = static_cast<uint8_t>(lost_ + 1);
      return;
    }
    bytes_[head] = byte;
    head_ = next;
  }
  // Tick only; false when there is none.
  bool take(uint8_t& byte) {
    const uint8_t tail = tail_;
    if (tail == head_) return false;
    byte = bytes_[tail];
    tail_ = static_cast<uint8_t>(tail + 1);
    return true;
  }
  // Bytes lost so far, mod 256.
  uint8_t lost() const { return lost_; }

 private:
  volatile uint8_t head_ = 0;
  volatile uint8_t tail_ = 0;
  volatile uint8_t lost_ = 0;
  volatile uint8_t bytes_[receive_ring_bytes] = {};
};

}  // namespace agent
}  // namespace ringout
