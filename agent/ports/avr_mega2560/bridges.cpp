#include "agent/ports/avr_mega2560/bridges.h"

#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

namespace ringout {
namespace mega {
namespace {

// Fast PWM with ICR as top (mode 14), no prescaling: 16 MHz / 800 = 20 kHz.
constexpr uint16_t pwm_top = static_cast<uint16_t>(cpu_hz / 20000UL - 1);
static_assert(WGM31 == WGM41 && WGM31 == WGM51, "three timers of one layout");
static_assert(pwm_top == 799, "permille to compare value below relies on this");

struct Channel {
  volatile uint16_t* compare;
  volatile uint8_t* control_a;
  uint8_t connect;  // the COM bit that connects the pin, non-inverting
};

const Channel& channel(uint8_t bridge) {
  static const Channel channels[bridge_count] = {
      {&OCR3A, &TCCR3A, 1 << COM3A1}, {&OCR3B, &TCCR3A, 1 << COM3B1}, {&OCR4A, &TCCR4A, 1 << COM4A1},
      {&OCR4B, &TCCR4A, 1 << COM4B1}, {&OCR4C, &TCCR4A, 1 << COM4C1}, {&OCR5A, &TCCR5A, 1 << COM5A1},
      {&OCR5B, &TCCR5A, 1 << COM5B1}, {&OCR5C, &TCCR5A, 1 << COM5C1},
  };
  return channels[bridge];
}

// 1..1000 permille of 800 counts; the pin is high for one count more than the compare value. At the top it stays high.
uint16_t compare_value(uint16_t permille) {
  const uint16_t counts = static_cast<uint16_t>((static_cast<uint32_t>(permille) * 4 + 2) / 5);
  return counts == 0 ? 0 : static_cast<uint16_t>(counts - 1);
}

void set_duty(const Channel& to, uint16_t permille) {
  *to.compare = compare_value(permille);
  *to.control_a = static_cast<uint8_t>(*to.control_a | to.connect);
}

// At zero the pin is taken from the timer: fast PWM would leave a spike of one cycle.
void disconnect(const Channel& from) {
  *from.control_a = static_cast<uint8_t>(*from.control_a & ~from.connect);
}

void clear_bit(volatile uint8_t& port, uint8_t bit) {
  port = static_cast<uint8_t>(port & ~bit);
}
void set_bit(volatile uint8_t& port, uint8_t bit) {
  port = static_cast<uint8_t>(port | bit);
}

constexpr uint8_t mode_14_b = (1 << WGM33) | (1 << WGM32) | (1 << CS30);

}  // namespace

volatile bool stopped_from_line;

void start_bridges() {
  PORTC = 0;
  PORTK = 0;
  PORTE = static_cast<uint8_t>(PORTE & ~pwm_pins_e);
  PORTH = static_cast<uint8_t>(PORTH & ~pwm_pins_h);
  PORTL = static_cast<uint8_t>(PORTL & ~pwm_pins_l);
  ICR3 = ICR4 = ICR5 = pwm_top;
  TCCR3A = TCCR4A = TCCR5A = pwm_control_without_pins;
  TCCR3B = TCCR4B = TCCR5B = mode_14_b;
  DDRC = 0xFF;
  DDRK = 0xFF;
  DDRE = static_cast<uint8_t>(DDRE | pwm_pins_e);
  DDRH = static_cast<uint8_t>(DDRH | pwm_pins_h);
  DDRL = static_cast<uint8_t>(DDRL | pwm_pins_l);
}

void drive_bridge(uint8_t bridge, int16_t level_permille) {
  if (bridge >= bridge_count) return;
  const Channel& to = channel(bridge);
  const uint8_t bit = static_cast<uint8_t>(1 << bridge);
  const uint16_t size = static_cast<uint16_t>(level_permille < 0 ? -level_permille : level_permille);
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    if (size == 0 || stopped_from_line) {
      disconnect(to);
      clear_bit(PORTC, bit);
      clear_bit(PORTK, bit);
    } else if (level_permille > 0) {
      clear_bit(PORTK, bit);
      set_bit(PORTC, bit);
      set_duty(to, size > 1000 ? 1000 : size);
    } else {
      clear_bit(PORTC, bit);
      set_bit(PORTK, bit);
      set_duty(to, size > 1000 ? 1000 : size);
    }
  }
}

void brake_bridge(uint8_t bridge) {
  if (bridge >= bridge_count) return;
  const uint8_t bit = static_cast<uint8_t>(1 << bridge);
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    set_bit(PORTC, bit);
    set_bit(PORTK, bit);
    set_duty(channel(bridge), 1000);
  }
}

void all_bridges_off(uint8_t brake_mask) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    PORTC = 0;
    PORTK = 0;
    TCCR3A = TCCR4A = TCCR5A = pwm_control_without_pins;
    for (uint8_t i = 0; i < bridge_count; ++i) {
      if (brake_mask & (1 << i)) brake_bridge(i);
    }
  }
}

void acknowledge_stop() {
  stopped_from_line = false;
}

}  // namespace mega
}  // namespace ringout
