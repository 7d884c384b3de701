#include "agent/ports/avr_mega2560/load.h"

#include "agent/ports/avr_mega2560/analogue.h"
#include "agent/ports/avr_mega2560/encoders.h"
#include "agent/ports/avr_mega2560/serial.h"

namespace ringout {
namespace mega {
namespace {

// Cycles from the interrupted instruction back to it: measured in the emulated chip, plus the five of the entry.
constexpr uint16_t receive_cycles = 101;
constexpr uint16_t send_cycles = 89;
constexpr uint16_t encoder_cycles = 95;
constexpr uint16_t analogue_cycles = 81;
constexpr uint16_t cycles_per_us = 16;

constexpr uint8_t window_ticks = 100;
constexpr uint32_t window_us = static_cast<uint32_t>(window_ticks) * 1000;

uint8_t ticks;
uint32_t in_ticks;       // microseconds
uint32_t in_interrupts;  // cycles, all of them, wherever they came
uint8_t last_received, last_sent, last_encoder;
uint16_t permille;

uint16_t since(uint8_t now, uint8_t& last) {
  const uint8_t count = static_cast<uint8_t>(now - last);
  last = now;
  return count;
}

}  // namespace

void note_tick(uint16_t tick_us) {
  in_ticks += tick_us;
  in_interrupts += since(received_count(), last_received) * receive_cycles;
  in_interrupts += since(sent_count(), last_sent) * send_cycles;
  in_interrupts += since(encoder_interrupts(), last_encoder) * encoder_cycles;
  ticks = static_cast<uint8_t>(ticks + 1);
  if (ticks < window_ticks) return;

  in_interrupts += adc_interrupts_per_second / (1000 / window_ticks) * analogue_cycles;
  const uint32_t tick_share = in_ticks * 1000 / window_us;
  const uint32_t interrupt_share = in_interrupts * 1000 / (window_us * cycles_per_us);
  const uint32_t outside = tick_share < 1000 ? interrupt_share * (1000 - tick_share) / 1000 : 0;
  permille = static_cast<uint16_t>(tick_share + outside > 1000 ? 1000 : tick_share + outside);
  ticks = 0;
  in_ticks = 0;
  in_interrupts = 0;
}

uint16_t load_permille() {
  return permille;
}

}  // namespace mega
}  // namespace ringout
