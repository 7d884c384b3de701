// Timer 1 counts half microseconds and starts over every millisecond: the clock, and the tick of 1 kHz.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

void start_clock();

// Called by the tick's interrupt each time, also by one that finds the last tick still running.
void count_millisecond();

// Microseconds since start; wraps after 71 minutes.
uint32_t clock_us();

}  // namespace mega
}  // namespace ringout
