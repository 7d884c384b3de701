// ADC0-7, scanned by the free-running converter: 10 bits, AVcc as reference, every channel about 600 times a second.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

void start_analogue();

uint16_t adc_value_of(uint8_t channel);

// For the load figure: one conversion takes 13 cycles of 125 kHz.
constexpr uint16_t adc_interrupts_per_second = 9615;

}  // namespace mega
}  // namespace ringout
