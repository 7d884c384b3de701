// Timer 1 runs free in steps of 4 us: the clock, and the tick of 1 kHz.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

void start_clock();

// Called by the tick's interrupt each time, also by one that finds the last tick still running, with interrupts locked.
// Returns the milliseconds since the last call: one, or more where interrupts were disabled for so long.
uint8_t count_milliseconds();

// Microseconds since start; wraps after 71 minutes.
uint32_t clock_us();

}  // namespace mega
}  // namespace ringout
