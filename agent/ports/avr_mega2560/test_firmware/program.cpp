// The program of the test firmware: moves until a switch acts, then does what the level at its analogue input asks for,
// none of which a program should do. Where no switch acts it ends in good order after its time limit.
#include <avr/interrupt.h>
#include <math.h>
#include <util/delay.h>

#include "points.hpp"

using namespace ringout;
using namespace points;

namespace {

// Interrupts off nearly always, but never for as long as the watchdog takes.
void block_in_pieces() {
  for (;;) {
    cli();
    _delay_ms(50);
    sei();
    _delay_us(200);
  }
}

}  // namespace

void program() {
  step("move");
  set(lamp, on);
  set(mover, 0.5);
  if (until(pressed(pressed_in), 300)) {
    step("misbehave");
    const float wanted = read(angle);  // raw
    if (wanted > 700) set(mover, NAN);
    if (wanted > 500 && wanted < 700) block_in_pieces();
    if (wanted > 300 && wanted < 500) cli();
    volatile bool forever = true;
    while (forever) {
    }
  }
  step("rest");
  outputs_off();
  dwell(50);
}
