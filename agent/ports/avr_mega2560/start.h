// What happens before main, and what can be told about the stack.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

// MCUSR as the reset left it; saved and cleared before any start-up code, with the watchdog switched off.
uint8_t reset_flags();

// Differs from start to start: what memory held at power-up, counted on by each reset.
uint32_t start_entropy();

// Looks on for a few bytes at a time, so that it can be called from the tick; see unused_stack.
void look_at_stack();

// Bytes between the end of the variables and the deepest stack so far; 0 until the first look is complete.
uint16_t unused_stack();

}  // namespace mega
}  // namespace ringout
