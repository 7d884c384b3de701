// SPDX-License-Identifier: GPL-3.0-or-later
// The ATmega2560's pins by their names, and what its timers drive out of them.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace ringout::emulator {

struct Pin {
  char port = 'A';  // A–H, J–L
  std::uint8_t bit = 0;
  bool operator==(const Pin&) const = default;
};

[[nodiscard]] std::optional<Pin> pin_named(std::string_view name);  // "PE3"
// Channel of an analogue pin: PF0–PF7 are 0–7, PK0–PK7 are 8–15.
[[nodiscard]] std::optional<std::uint8_t> adc_channel_of(Pin pin);

// Data-space addresses of a port's registers (ATmega640/1280/1281/2560/2561 data sheet, register summary).
struct PortRegisters {
  std::uint16_t pin;
  std::uint16_t ddr;
  std::uint16_t port;
};
[[nodiscard]] PortRegisters registers_of(char port);

// Share of time that an output pin is high, from the registers: the compare outputs of timers 1, 3, 4, 5 (16 bits) and
// 0, 2 (8 bits) while their mode connects them, else the port's bit. A pin that is no output is not driven: 0.
[[nodiscard]] double duty_of(Pin pin, std::span<const std::uint8_t> data);
[[nodiscard]] bool drives_high(Pin pin, std::span<const std::uint8_t> data);

}  // namespace ringout::emulator
