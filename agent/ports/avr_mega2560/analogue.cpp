#include "agent/ports/avr_mega2560/analogue.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/pins.h"

namespace ringout {
namespace mega {
namespace {

volatile uint16_t values[adc_channel_count];
uint8_t scanned;
bool settled;

constexpr uint8_t avcc_reference = 1 << REFS0;

}  // namespace

void start_analogue() {
  DIDR0 = 0xFF;  // digital inputs of these pins off
  ADMUX = avcc_reference;
  ADCSRB = 0;  // auto trigger: free running
  ADCSRA = (1 << ADEN) | (1 << ADSC) | (1 << ADATE) | (1 << ADIE) | (1 << ADPS2) | (1 << ADPS1) | (1 << ADPS0);
}

uint16_t adc_value_of(uint8_t channel) {
  uint16_t value = 0;
  if (channel < adc_channel_count) {
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
      value = values[channel];
    }
  }
  return value;
}

// When this runs the next conversion has begun with the channel it found, so a channel that is set here is heard two
// conversions later: every second result is passed over.
ISR(ADC_vect) {
  const uint16_t value = ADC;
  if (!settled) {
    settled = true;
    return;
  }
  settled = false;
  uint8_t channel = scanned;
  values[channel] = value;
  channel = static_cast<uint8_t>((channel + 1) % adc_channel_count);
  scanned = channel;
  ADMUX = static_cast<uint8_t>(avcc_reference | channel);
}

}  // namespace mega
}  // namespace ringout
