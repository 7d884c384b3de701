#include "agent/ports/avr_mega2560/encoders.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

// The same decoding as agent/quadrature.h (channel B leading counts forward), worked out for several encoders at once:
// turning forward, old A differs from new B at every edge. An edge that was seen too late (both channels changed, or
// none) changes nothing; a bouncing edge cancels out.

namespace ringout {
namespace mega {
namespace {

volatile uint16_t counts[encoder_count];  // short, so that the interrupts are; encoder_count_of widens them
volatile uint8_t interrupts;
uint8_t last_port_b;  // ENC1-4
uint8_t last_enc5;
uint8_t last_enc6;

// Everything below runs in interrupts and must stay short: no calls, so that few registers are saved.
#define RINGOUT_INLINE inline __attribute__((always_inline))

// One encoder in a byte whose even bit is channel A and the odd bit above it channel B.
RINGOUT_INLINE void count_pair(uint8_t encoder, uint8_t bit_a, uint8_t one_changed, uint8_t forward) {
  if (!(one_changed & bit_a)) return;
  uint16_t count = counts[encoder];
  if (forward & bit_a) {
    ++count;
  } else {
    --count;
  }
  counts[encoder] = count;
}

RINGOUT_INLINE uint8_t one_changed_of(uint8_t last, uint8_t now) {
  const uint8_t changed = static_cast<uint8_t>(now ^ last);
  return static_cast<uint8_t>(changed ^ (changed >> 1));
}
RINGOUT_INLINE uint8_t forward_of(uint8_t last, uint8_t now) {
  return static_cast<uint8_t>(last ^ (now >> 1));
}

RINGOUT_INLINE void note_interrupt() {
  interrupts = static_cast<uint8_t>(interrupts + 1);
}

RINGOUT_INLINE uint8_t pair(bool a, bool b) {
  return static_cast<uint8_t>((a ? 1 : 0) | (b ? 2 : 0));
}
RINGOUT_INLINE uint8_t enc5_now() {
  const uint8_t e = PINE;
  return pair((e & enc5_a) != 0, (e & enc5_b) != 0);
}
RINGOUT_INLINE uint8_t enc6_now() {
  return pair((PINE & enc6_a) != 0, (PIND & enc6_b) != 0);
}

}  // namespace

void start_encoders() {
  DDRB = 0;
  PORTB = 0xFF;  // pull-ups: encoders with open collectors, and no floating pins
  PORTE = static_cast<uint8_t>(PORTE | enc5_a | enc5_b | enc6_a);
  PORTD = static_cast<uint8_t>(PORTD | enc6_b);
  last_port_b = PINB;
  last_enc5 = enc5_now();
  last_enc6 = enc6_now();
  PCMSK0 = 0xFF;
  PCICR = 1 << PCIE0;
  EICRA = 1 << ISC20;  // any edge, never low level
  EICRB = (1 << ISC50) | (1 << ISC60) | (1 << ISC70);
  EIMSK = (1 << INT2) | (1 << INT5) | (1 << INT6) | (1 << INT7);
}

int32_t encoder_count_of(uint8_t encoder) {
  static uint16_t seen[encoder_count];
  static int32_t wide[encoder_count];
  int32_t value = 0;
  if (encoder < encoder_count) {
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
      const uint16_t now = counts[encoder];
      wide[encoder] += static_cast<int16_t>(now - seen[encoder]);
      seen[encoder] = now;
      value = wide[encoder];
    }
  }
  return value;
}

uint8_t encoder_interrupts() {
  return interrupts;
}

ISR(PCINT0_vect) {
  const uint8_t now = PINB;
  const uint8_t one_changed = one_changed_of(last_port_b, now);
  const uint8_t forward = forward_of(last_port_b, now);
  last_port_b = now;
  count_pair(0, 0x01, one_changed, forward);
  count_pair(1, 0x04, one_changed, forward);
  count_pair(2, 0x10, one_changed, forward);
  count_pair(3, 0x40, one_changed, forward);
  note_interrupt();
}

ISR(INT5_vect) {
  const uint8_t now = enc5_now();
  count_pair(4, 0x01, one_changed_of(last_enc5, now), forward_of(last_enc5, now));
  last_enc5 = now;
  note_interrupt();
}
ISR(INT6_vect, ISR_ALIASOF(INT5_vect));

ISR(INT7_vect) {
  const uint8_t now = enc6_now();
  count_pair(5, 0x01, one_changed_of(last_enc6, now), forward_of(last_enc6, now));
  last_enc6 = now;
  note_interrupt();
}
ISR(INT2_vect, ISR_ALIASOF(INT7_vect));

}  // namespace mega
}  // namespace ringout
