#include "agent/ports/avr_mega2560/encoders.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

// The same decoding as agent/quadrature.h (channel A leading counts up), worked out for several encoders at once:
// turning that way, old A equals new B at every edge. An edge that was seen too late (both channels changed, or none)
// changes nothing; a bouncing edge cancels out.

namespace ringout {
namespace mega {
namespace {

volatile uint16_t counts[encoder_count_total];  // short, so that the interrupts are; encoder_count_of widens them
volatile uint8_t interrupts;
uint8_t last_port_b;  // ENC1-4
uint8_t last_pairs;   // ENC5, ENC6

// Everything below runs in interrupts and must stay short: no calls, so that few registers are saved.
#define RINGOUT_INLINE inline __attribute__((always_inline))

// One encoder in a byte whose even bit is channel A and the odd bit above it channel B.
RINGOUT_INLINE void count_pair(uint8_t encoder, uint8_t bit_a, uint8_t one_changed, uint8_t backward) {
  if (!(one_changed & bit_a)) return;
  uint16_t count = counts[encoder];
  if (backward & bit_a) {
    --count;
  } else {
    ++count;
  }
  counts[encoder] = count;
}

RINGOUT_INLINE uint8_t one_changed_of(uint8_t last, uint8_t now) {
  const uint8_t changed = static_cast<uint8_t>(now ^ last);
  return static_cast<uint8_t>(changed ^ (changed >> 1));
}
RINGOUT_INLINE uint8_t backward_of(uint8_t last, uint8_t now) {
  return static_cast<uint8_t>(last ^ (now >> 1));
}

RINGOUT_INLINE void note_interrupt() {
  interrupts = static_cast<uint8_t>(interrupts + 1);
}

// ENC5 and ENC6 in one byte, like port B.
RINGOUT_INLINE uint8_t pairs_now() {
  const uint8_t e = PINE;
  uint8_t pairs = static_cast<uint8_t>(e >> PE5) & 0x03;
  if (e & enc6_a) pairs |= 0x04;
  if (PIND & enc6_b) pairs |= 0x08;
  return pairs;
}

constexpr uint8_t edge_flags = (1 << INT2) | (1 << INT5) | (1 << INT6) | (1 << INT7);
static_assert(enc5_a == 1 << PE5 && enc5_b == 1 << (PE5 + 1), "pairs_now shifts both at once");

}  // namespace

void start_encoders() {
  DDRB = 0;
  PORTB = 0xFF;  // pull-ups: encoders with open collectors, and no floating pins
  PORTE = static_cast<uint8_t>(PORTE | enc5_a | enc5_b | enc6_a);
  PORTD = static_cast<uint8_t>(PORTD | enc6_b);
  last_port_b = PINB;
  last_pairs = pairs_now();
  PCMSK0 = 0xFF;
  PCICR = 1 << PCIE0;
  EICRA = 1 << ISC20;  // any edge, never low level
  EICRB = (1 << ISC50) | (1 << ISC60) | (1 << ISC70);
  EIMSK = edge_flags;
}

int32_t encoder_count_of(uint8_t encoder) {
  static uint16_t seen[encoder_count_total];
  static int32_t wide[encoder_count_total];
  int32_t value = 0;
  if (encoder < encoder_count_total) {
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
  const uint8_t backward = backward_of(last_port_b, now);
  last_port_b = now;
  count_pair(0, 0x01, one_changed, backward);
  count_pair(1, 0x04, one_changed, backward);
  count_pair(2, 0x10, one_changed, backward);
  count_pair(3, 0x40, one_changed, backward);
  note_interrupt();
}

// One interrupt serves the edges of both encoders that wait, so that two at once do not hold the serial line up twice.
// The flags go before the pins are read: an edge after that comes again.
ISR(INT5_vect) {
  EIFR = edge_flags;
  const uint8_t now = pairs_now();
  const uint8_t one_changed = one_changed_of(last_pairs, now);
  const uint8_t backward = backward_of(last_pairs, now);
  last_pairs = now;
  count_pair(4, 0x01, one_changed, backward);
  count_pair(5, 0x04, one_changed, backward);
  note_interrupt();
}
ISR(INT2_vect, ISR_ALIASOF(INT5_vect));
ISR(INT6_vect, ISR_ALIASOF(INT5_vect));
ISR(INT7_vect, ISR_ALIASOF(INT5_vect));

}  // namespace mega
}  // namespace ringout
