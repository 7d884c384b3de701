// Timer 1 counts half microseconds for good; its compare A is the tick of 1 kHz.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

constexpr uint16_t tick_counts = 2000;  // half microseconds

void start_clock();

// Microseconds since start, wraps after 71 minutes. Right as long as the tick is not more than 30 ms late; the watchdog
// bounds that.
uint32_t clock_us();

// Timer counts, half microseconds, wraps after 32 ms; cheap.
uint16_t timer_counts();

// Called first in the tick: moves the next tick on and returns how many ticks were missed, usually 0.
uint8_t begin_tick();

}  // namespace mega
}  // namespace ringout
