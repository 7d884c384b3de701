#include "agent/ports/avr_mega2560/clock.h"

#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

namespace ringout {
namespace mega {
namespace {

// The timer is never set back, so that time is not lost while a program has interrupts disabled: what has passed since
// the last count is read from it, for up to 131 ms, and the watchdog ends anything that takes longer than 66 ms.
uint32_t counted_us;  // time up to the last whole millisecond that was counted
uint16_t counted_at;  // where the timer stood then

constexpr uint8_t us_per_step = 4;
constexpr uint16_t steps_per_tick = 250;
static_assert(cpu_hz / 64 * us_per_step == 1000000UL, "the timer counts steps of 4 us");
static_assert(steps_per_tick * us_per_step == 1000, "a tick a millisecond");

int16_t steps_since_count() {
  return static_cast<int16_t>(TCNT1 - counted_at);
}

}  // namespace

void start_clock() {
  TCCR1A = 0;
  TCNT1 = 0;
  OCR1A = steps_per_tick;
  TIFR1 = 1 << OCF1A;
  TIMSK1 = 1 << OCIE1A;
  TCCR1B = (1 << CS11) | (1 << CS10);  // by 64, free running
}

uint8_t count_milliseconds() {
  uint8_t passed = 0;
  do {
    counted_at = static_cast<uint16_t>(counted_at + steps_per_tick);
    counted_us += 1000;
    ++passed;
    OCR1A = static_cast<uint16_t>(counted_at + steps_per_tick);
    TIFR1 = 1 << OCF1A;  // met on the way here, before the timer is looked at: the next one is not lost
  } while (steps_since_count() >= static_cast<int16_t>(steps_per_tick));
  return passed;
}

uint32_t clock_us() {
  uint32_t us = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    us = counted_us + static_cast<uint32_t>(static_cast<int32_t>(steps_since_count()) * us_per_step);
  }
  return us;
}

}  // namespace mega
}  // namespace ringout
