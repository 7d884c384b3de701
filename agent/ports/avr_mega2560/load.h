// Share of time spent in the tick and in interrupts. The tick measures itself, interrupts within it included; those
// that come between ticks are counted and charged with their measured cost.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

// Called at the end of each tick with its duration.
void note_tick(uint16_t tick_us);

// Average of the last complete 100 ticks.
uint16_t load_permille();

}  // namespace mega
}  // namespace ringout
