#include "agent/ports/avr_mega2560/start.h"

#include <avr/io.h>
#include <avr/wdt.h>

extern uint8_t __heap_start;  // first byte after all variables; given by the linker

namespace ringout {
namespace mega {
namespace {

constexpr uint8_t paint = 0xC5;
constexpr uint8_t bytes_a_look = 24;

// Memory that start-up leaves alone: arbitrary after power-up, kept over a reset.
uint32_t starts __attribute__((section(".noinit")));
uint8_t saved_flags __attribute__((section(".noinit")));
const volatile uint8_t* look_from = &__heap_start;
uint16_t unused;

}  // namespace

// Runs before .data and .bss are set and before main. After a watchdog reset the watchdog stays on with its shortest
// time, so it must be off before anything takes long.
extern "C" void save_reset_cause() __attribute__((naked, used, section(".init3")));
extern "C" void save_reset_cause() {
  saved_flags = MCUSR;
  MCUSR = 0;
  wdt_disable();
  for (volatile uint8_t* byte = &__heap_start; byte <= reinterpret_cast<uint8_t*>(RAMEND); ++byte) *byte = paint;
}

uint32_t start_entropy() {
  starts = starts * 1664525UL + 1013904223UL;
  return starts;
}

uint8_t reset_flags() {
  return saved_flags;
}

void look_at_stack() {
  for (uint8_t i = 0; i < bytes_a_look; ++i) {
    if (*look_from != paint) {
      unused = static_cast<uint16_t>(look_from - &__heap_start);
      look_from = &__heap_start;
      return;
    }
    ++look_from;
  }
}

uint16_t unused_stack() {
  return unused;
}

}  // namespace mega
}  // namespace ringout
