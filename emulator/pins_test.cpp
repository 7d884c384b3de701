// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/pins.h"

#include <doctest/doctest.h>

#include <vector>

using namespace ringout::emulator;

namespace {

// Register file of a timer in fast PWM with ICR as top (mode 14), channel A connected, non-inverting.
std::vector<std::uint8_t> timer3_on_pe3(unsigned top, unsigned compare, std::uint8_t connection, std::uint8_t clock) {
  std::vector<std::uint8_t> data(0x200);
  data[0x2D] = 1u << 3;  // DDRE
  data[0x90] = static_cast<std::uint8_t>(connection << 6 | 2);
  data[0x91] = static_cast<std::uint8_t>(0x18 | clock);
  data[0x96] = static_cast<std::uint8_t>(top);
  data[0x97] = static_cast<std::uint8_t>(top >> 8);
  data[0x98] = static_cast<std::uint8_t>(compare);
  data[0x99] = static_cast<std::uint8_t>(compare >> 8);
  return data;
}

}  // namespace

TEST_CASE("pins have names") {
  CHECK(pin_named("PE3") == Pin{'E', 3});
  CHECK(pin_named("PL7") == Pin{'L', 7});
  for (const char* wrong : {"", "PE", "PE8", "PI0", "PM0", "E3", "PE33", "pe3", "PG6"}) CHECK_FALSE(pin_named(wrong));
  CHECK(adc_channel_of({'F', 6}) == 6);
  CHECK(adc_channel_of({'K', 1}) == 9);
  CHECK_FALSE(adc_channel_of({'A', 1}));
}

TEST_CASE("port registers stand where the data sheet's summary has them") {
  CHECK(registers_of('A').pin == 0x20);
  CHECK(registers_of('E').ddr == 0x2D);
  CHECK(registers_of('G').port == 0x34);
  CHECK(registers_of('H').pin == 0x100);
  CHECK(registers_of('J').ddr == 0x104);
  CHECK(registers_of('K').port == 0x108);
  CHECK(registers_of('L').port == 0x10B);
}

TEST_CASE("fast PWM is high for compare + 1 of top + 1 counts, full at the top") {
  const Pin pin{'E', 3};
  CHECK(duty_of(pin, timer3_on_pe3(799, 399, 2, 1)) == doctest::Approx(0.5));
  CHECK(duty_of(pin, timer3_on_pe3(799, 799, 2, 1)) == 1.0);
  CHECK(duty_of(pin, timer3_on_pe3(799, 65535, 2, 1)) == 1.0);
  CHECK(duty_of(pin, timer3_on_pe3(799, 0, 2, 1)) == doctest::Approx(1.0 / 800));
  CHECK(duty_of(pin, timer3_on_pe3(799, 399, 3, 1)) == doctest::Approx(0.5));
  CHECK(duty_of(pin, timer3_on_pe3(799, 199, 3, 1)) == doctest::Approx(0.75));
}

TEST_CASE("a pin that is disconnected, unclocked or no output does not follow the compare unit") {
  const Pin pin{'E', 3};
  auto data = timer3_on_pe3(799, 399, 0, 1);
  CHECK(duty_of(pin, data) == 0.0);
  data[0x2E] = 1u << 3;  // PORTE
  CHECK(duty_of(pin, data) == 1.0);
  CHECK(duty_of(pin, timer3_on_pe3(799, 399, 2, 0)) == 0.0);
  data = timer3_on_pe3(799, 399, 2, 1);
  data[0x2D] = 0;
  CHECK(duty_of(pin, data) == 0.0);
}

TEST_CASE("phase-correct modes are high for compare of top counts") {
  auto data = timer3_on_pe3(0, 256, 2, 1);
  data[0x90] = static_cast<std::uint8_t>(2u << 6 | 3);
  data[0x91] = 1;  // mode 3: ten bits
  CHECK(duty_of({'E', 3}, data) == doctest::Approx(256.0 / 1023));
}
