// Which pin of the ATmega2560 does what on the nursery board; data/boards/nursery_mega.toml says the same for people
// and for the plant. Everything that names a pin is here.
//
//   bridges OUT1-8   PWM OC3A PE3, OC3B PE4, OC4A PH3, OC4B PH4, OC4C PH5, OC5A PL3, OC5B PL4, OC5C PL5;
//                    forward PC0-7, reverse PK0-7
//   encoders ENC1-6  PB0/1, PB2/3, PB4/5, PB6/7, PE5/6, PE7/PD2 (channel A / channel B)
//   switches SW1-8   PA0-7, pulled up: closed reads low
//   analogue         ADC0-7
//   serial           USART0, PE0 receive, PE1 transmit
#pragma once

#include <avr/io.h>

namespace ringout {
namespace mega {

constexpr uint8_t bridge_count = 8;
constexpr uint8_t encoder_count_total = 6;
constexpr uint8_t switch_count = 8;
constexpr uint8_t adc_channel_count = 8;
constexpr uint8_t supply_adc = 0;
constexpr float supply_mv_per_raw = 4.0F * 5000.0F / 1024.0F;  // divider by 4, 10 bits of 5 V

constexpr uint32_t cpu_hz = 16000000UL;
constexpr uint32_t line_rate_baud = 1000000UL;
static_assert(F_CPU == cpu_hz, "the board has a 16 MHz crystal");

constexpr uint8_t enc5_a = 1 << PE5;
constexpr uint8_t enc5_b = 1 << PE6;
constexpr uint8_t enc6_a = 1 << PE7;  // on port E
constexpr uint8_t enc6_b = 1 << PD2;  // on port D

constexpr uint8_t pwm_pins_e = (1 << PE3) | (1 << PE4);
constexpr uint8_t pwm_pins_h = (1 << PH3) | (1 << PH4) | (1 << PH5);
constexpr uint8_t pwm_pins_l = (1 << PL3) | (1 << PL4) | (1 << PL5);

}  // namespace mega
}  // namespace ringout
