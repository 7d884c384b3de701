#include "agent/ports/avr_mega2560/clock.h"

#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

namespace ringout {
namespace mega {
namespace {

uint32_t last_tick_us;      // clock at the compare of the last tick
uint16_t last_tick_counts;  // timer at the same

static_assert(cpu_hz / 8 == 2000000UL, "half microseconds");

}  // namespace

void start_clock() {
  TCCR1A = 0;
  TCCR1B = 1 << CS11;  // by 8
  TCNT1 = 0;
  OCR1A = tick_counts;
  TIFR1 = 1 << OCF1A;
  TIMSK1 = 1 << OCIE1A;
}

uint16_t timer_counts() {
  uint16_t counts = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    counts = TCNT1;
  }  // the two halves share one register for the high byte
  return counts;
}

uint32_t clock_us() {
  uint32_t us = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    us = last_tick_us + static_cast<uint16_t>(TCNT1 - last_tick_counts) / 2;
  }
  return us;
}

uint8_t begin_tick() {
  uint8_t missed = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    uint16_t next = static_cast<uint16_t>(OCR1A + tick_counts);
    last_tick_us += 1000;
    // A compare in the past would wait for the timer to come round: step over what was missed.
    while (static_cast<int16_t>(TCNT1 + 20 - next) >= 0) {
      next = static_cast<uint16_t>(next + tick_counts);
      last_tick_us += 1000;
      ++missed;
    }
    last_tick_counts = static_cast<uint16_t>(next - tick_counts);
    OCR1A = next;
  }
  return missed;
}

}  // namespace mega
}  // namespace ringout
