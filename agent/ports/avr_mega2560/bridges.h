// Eight bridge channels: PWM of 20 kHz on timers 3, 4 and 5 and two direction pins each.
#pragma once

#include <avr/io.h>
#include <stdint.h>

namespace ringout {
namespace mega {

// Sets pins and timers up with every bridge off.
void start_bridges();

// Level in permille of the supply, -1000 to 1000, after the board's own inversion if any. Zero turns the PWM pin off
// and lets both directions go low: coast.
void drive_bridge(uint8_t bridge, int16_t level_permille);

// Both directions high at full duty: the bridge shorts the motor.
void brake_bridge(uint8_t bridge);

constexpr uint8_t pwm_control_without_pins = 1 << WGM31;  // TCCRnA with every PWM pin taken from its timer

// Coasts all bridges within a few cycles. Inline, so that an interrupt that holds it still saves few registers; call it
// with interrupts disabled.
inline __attribute__((always_inline)) void bridges_off_in_interrupt() {
  PORTC = 0;
  PORTK = 0;
  TCCR3A = TCCR4A = TCCR5A = pwm_control_without_pins;
}

}  // namespace mega
}  // namespace ringout
