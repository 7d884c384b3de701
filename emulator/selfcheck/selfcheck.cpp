// SPDX-License-Identifier: GPL-3.0-or-later
// Firmware for the emulated chip's own checks: does one small thing for each command byte that comes over the line.
// Numbers travel little-endian. Not the agent, and no part of any robot.
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <stdint.h>

namespace {

volatile uint8_t ring[256];
volatile uint8_t ring_in, ring_out;
volatile uint16_t arrival[64];
volatile uint8_t arrivals;
volatile int32_t counts[6];
volatile uint32_t interrupts;
volatile uint16_t ticks;
volatile uint8_t pcint_upper;
uint8_t reset_cause;
uint8_t was_marked;
uint8_t marked __attribute__((section(".noinit")));

constexpr uint8_t mark = 0xA7;

// Change of a quadrature pair, by (old A, old B, new A, new B); B follows A in the positive direction.
const int8_t quadrature[16] = {0, -1, 1, 0, 1, 0, 0, -1, -1, 0, 0, 1, 0, 1, -1, 0};

void put(uint8_t byte) {
  while (!(UCSR0A & _BV(UDRE0))) {
  }
  UDR0 = byte;
}

void put16(uint16_t v) {
  put(static_cast<uint8_t>(v));
  put(static_cast<uint8_t>(v >> 8));
}

void put32(uint32_t v) {
  put16(static_cast<uint16_t>(v));
  put16(static_cast<uint16_t>(v >> 16));
}

uint8_t get() {
  while (true) {
    cli();
    if (ring_in != ring_out) {
      sei();
      return ring[ring_out++];
    }
    sei();  // the instruction after it still runs, so no wake-up is lost
    sleep_cpu();
  }
}

uint16_t get16() {
  const uint8_t low = get();
  return static_cast<uint16_t>(low | get() << 8);
}

void follow(uint8_t encoder, uint8_t& before, uint8_t a, uint8_t b) {
  const uint8_t now = static_cast<uint8_t>((a ? 2 : 0) | (b ? 1 : 0));
  counts[encoder] += quadrature[(before << 2) | now];
  before = now;
}

uint8_t before5, before6;
void follow5() {
  follow(4, before5, PINE & _BV(5), PINE & _BV(6));
}
void follow6() {
  follow(5, before6, PINE & _BV(7), PIND & _BV(2));
}

void start_encoders() {
  PCMSK0 = 0xFF;
  PCIFR = 0xFF;
  PCICR = _BV(PCIE0);
  before5 = static_cast<uint8_t>((PINE & _BV(5) ? 2 : 0) | (PINE & _BV(6) ? 1 : 0));
  before6 = static_cast<uint8_t>((PINE & _BV(7) ? 2 : 0) | (PIND & _BV(2) ? 1 : 0));
  EICRA = _BV(ISC20);
  EICRB = _BV(ISC50) | _BV(ISC60) | _BV(ISC70);
  EIFR = 0xFF;
  EIMSK = _BV(INT2) | _BV(INT5) | _BV(INT6) | _BV(INT7);
}

void start_tick() {
  TCCR0A = _BV(WGM01);
  TCCR0B = _BV(CS01) | _BV(CS00);
  OCR0A = 249;  // 16 MHz / 64 / 250 = 1 kHz
  TIMSK0 = _BV(OCIE0A);
}

void start_pwm() {
  ICR3 = ICR4 = ICR5 = 799;  // 20 kHz
  TCCR3A = TCCR4A = TCCR5A = _BV(WGM31);
  TCCR3B = TCCR4B = TCCR5B = _BV(WGM33) | _BV(WGM32) | _BV(CS30);
  DDRE |= _BV(3) | _BV(4);
  DDRH |= _BV(3) | _BV(4) | _BV(5);
  DDRL |= _BV(3) | _BV(4) | _BV(5);
  DDRC = 0xFF;
  DDRK = 0xFF;
}

// Level 0..800 of 800; 0 cannot be made by the compare unit, so it is disconnected.
void set_level(uint8_t bridge, uint16_t level) {
  static volatile uint16_t* const compare[8] = {&OCR3A, &OCR3B, &OCR4A, &OCR4B, &OCR4C, &OCR5A, &OCR5B, &OCR5C};
  static volatile uint8_t* const control[8] = {&TCCR3A, &TCCR3A, &TCCR4A, &TCCR4A, &TCCR4A, &TCCR5A, &TCCR5A, &TCCR5A};
  static const uint8_t connect[8] = {_BV(COM3A1), _BV(COM3B1), _BV(COM4A1), _BV(COM4B1),
                                     _BV(COM4C1), _BV(COM5A1), _BV(COM5B1), _BV(COM5C1)};
  if (level == 0) {
    *control[bridge] &= static_cast<uint8_t>(~connect[bridge]);
    return;
  }
  *compare[bridge] = static_cast<uint16_t>(level - 1);
  *control[bridge] |= connect[bridge];
}

uint16_t convert(uint8_t channel) {
  ADMUX = static_cast<uint8_t>(_BV(REFS0) | (channel & 7));
  ADCSRB = static_cast<uint8_t>(channel > 7 ? _BV(MUX5) : 0);
  ADCSRA = _BV(ADEN) | _BV(ADSC) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0);
  while (ADCSRA & _BV(ADSC)) {
  }
  return ADC;
}

void wait_cycles(uint16_t thousands) {
  while (thousands--) __builtin_avr_delay_cycles(1000);
}

void motors(uint8_t command) {
  if (command == 'P') start_pwm();
  if (command == 'L') {
    const uint8_t bridge = get();
    set_level(bridge, get16());
  }
  if (command == 'F') PORTC = get();
  if (command == 'R') PORTK = get();
}

void sensors(uint8_t command) {
  if (command == 'E') start_encoders();
  if (command == 'C') {
    for (uint8_t i = 0; i < 6; i++) {
      cli();
      const int32_t count = counts[i];
      sei();
      put32(static_cast<uint32_t>(count));
    }
  }
  if (command == 'A') put16(convert(get()));
  if (command == 'S') put(PINA);
  if (command == 'K') {  // pin changes of PCINT8–23: enabled, then counted
    PCMSK1 = PCMSK2 = 0xFF;
    PCIFR = 0xFF;
    PCICR |= _BV(PCIE1) | _BV(PCIE2);
  }
  if (command == 'k') put(pcint_upper);
}

void line(uint8_t command) {
  if (command == 'e') put(get());
  if (command == 'b') {
    for (uint8_t n = get(), i = 0; i < n; i++) put(i);
  }
  if (command == 'a') {  // arrival times, in cycles, of the last bytes
    put(arrivals);
    for (uint8_t i = 0; i < 64; i++) put16(arrival[i]);
  }
  if (command == 'd') {  // deaf for so many thousand cycles; then says how many bytes are there
    const uint16_t thousands = get16();
    cli();
    wait_cycles(thousands);
    uint8_t overrun = 0, got = 0;
    while (UCSR0A & _BV(RXC0)) {
      if (UCSR0A & _BV(DOR0)) overrun = 1;
      const uint8_t lost = UDR0;
      (void)lost;
      got++;
      __builtin_avr_delay_cycles(400);
    }
    sei();
    put(got);
    put(overrun);
  }
}

void life(uint8_t command) {
  if (command == 'c') {
    put(reset_cause);
    put(was_marked);
  }
  if (command == 'w' || command == 'z' || command == 'x') {
    wdt_enable(WDTO_60MS);
    cli();
    if (command == 'z') sleep_cpu();                                               // asleep with interrupts off
    if (command == 'x') *reinterpret_cast<volatile uint8_t*>(RAMEND + 0x100) = 1;  // a store where no memory is
    while (true) {
    }
  }
  if (command == 'W') {
    uint8_t* const at = reinterpret_cast<uint8_t*>(get16());
    eeprom_write_byte(at, get());
  }
  if (command == 'G') put(eeprom_read_byte(reinterpret_cast<const uint8_t*>(get16())));
  if (command == 'T') {
    start_tick();
    ticks = 0;
  }
  if (command == 't') put16(ticks);
  if (command == 'v') {  // all eight external interrupts sensitive to a low level
    EICRA = EICRB = 0;
    EIMSK = 0xFF;
  }
  if (command == 'i') put32(interrupts);
}

}  // namespace

ISR(USART0_RX_vect) {
  arrival[arrivals++ & 63] = TCNT1;
  ring[ring_in++] = UDR0;
}
ISR(PCINT0_vect) {
  static uint8_t before;
  const uint8_t now = PINB;
  for (uint8_t i = 0; i < 4; i++) {
    const uint8_t o = static_cast<uint8_t>((before >> (2 * i)) & 3), n = static_cast<uint8_t>((now >> (2 * i)) & 3);
    // The low bit of each pair is channel A.
    counts[i] += quadrature[((o & 1) << 3) | ((o & 2) << 1) | ((n & 1) << 1) | (n >> 1)];
  }
  before = now;
}
ISR(PCINT1_vect) {
  pcint_upper++;
}
ISR(PCINT2_vect) {
  pcint_upper++;
}
ISR(INT5_vect) {
  interrupts++;
  follow5();
}
ISR(INT6_vect) {
  interrupts++;
  follow5();
}
ISR(INT7_vect) {
  interrupts++;
  follow6();
}
ISR(INT2_vect) {
  interrupts++;
  follow6();
}
ISR(INT0_vect) {
  interrupts++;
}
ISR(INT1_vect) {
  interrupts++;
}
ISR(INT3_vect) {
  interrupts++;
}
ISR(INT4_vect) {
  interrupts++;
}
ISR(TIMER0_COMPA_vect) {
  ticks++;
}

int main() {
  reset_cause = MCUSR;
  MCUSR = 0;
  wdt_disable();
  was_marked = marked == mark;
  marked = mark;
  TCCR1A = 0;
  TCCR1B = _BV(CS10);
  UCSR0A = _BV(U2X0);
  UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
  UBRR0 = 1;  // 1 Mbaud
  UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
  set_sleep_mode(SLEEP_MODE_IDLE);
  sleep_enable();
  sei();
  while (true) {
    const uint8_t command = get();
    motors(command);
    sensors(command);
    line(command);
    life(command);
  }
}
