// Eight bridge channels: PWM of 20 kHz on timers 3, 4 and 5 and two direction pins each.
#pragma once

#include <avr/io.h>
#include <stdint.h>

namespace ringout {
namespace mega {

// Sets pins and timers up with every bridge off.
void start_bridges();

// Level in permille of the supply, -1000 to 1000, sign at the port's terminals. Zero takes the PWM pin from its timer
// and lets both directions go low: coast. Nothing is driven while a stop from the line is not yet acknowledged.
void drive_bridge(uint8_t bridge, int16_t level_permille);

// Both directions high at full duty: the bridge shorts the motor.
void brake_bridge(uint8_t bridge);

// Coasts all bridges but those of the mask (bit n: bridge n), which brake.
void all_bridges_off(uint8_t brake_mask);

// Ends what bridges_off_in_interrupt began: the agent has stopped as well, so bridges may be driven again.
void acknowledge_stop();

// Set by the receive interrupt, cleared by acknowledge_stop.
extern volatile bool stopped_from_line;

constexpr uint8_t pwm_control_without_pins = 1 << WGM31;  // TCCRnA with every PWM pin taken from its timer

// Coasts all bridges within a few cycles and keeps them off until acknowledge_stop. Inline, so that an interrupt that
// holds it still saves few registers; call it with interrupts disabled.
inline __attribute__((always_inline)) void bridges_off_in_interrupt() {
  PORTC = 0;
  PORTK = 0;
  TCCR3A = TCCR4A = TCCR5A = pwm_control_without_pins;
  stopped_from_line = true;
}

}  // namespace mega
}  // namespace ringout
