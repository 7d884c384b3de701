#include "agent/ports/avr_mega2560/clock.h"

#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

namespace ringout {
namespace mega {
namespace {

uint32_t milliseconds_in_us;

constexpr uint16_t half_us_per_tick = 2000;
static_assert(cpu_hz / 8 == 2000UL * 1000UL, "the timer counts half microseconds");

}  // namespace

void start_clock() {
  TCCR1A = 0;
  TCCR1B = (1 << WGM12) | (1 << CS11);  // clear on compare A, by 8
  TCNT1 = 0;
  OCR1A = half_us_per_tick - 1;
  TIFR1 = 1 << OCF1A;
  TIMSK1 = 1 << OCIE1A;
}

void count_millisecond() {
  milliseconds_in_us += 1000;
}

uint32_t clock_us() {
  uint32_t us = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    const uint16_t half_us = TCNT1;
    us = milliseconds_in_us + half_us / 2;
    // The timer has started over, and the interrupt that counts it is still to come.
    if ((TIFR1 & (1 << OCF1A)) && half_us < half_us_per_tick / 2) us += 1000;
  }
  return us;
}

}  // namespace mega
}  // namespace ringout
