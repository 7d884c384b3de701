// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/pins.h"

#include <algorithm>
#include <string_view>

#include "base/check.h"

namespace ringout::emulator {
namespace {

constexpr std::string_view ports = "ABCDEFGHJKL";

enum class Width { eight, sixteen };

// One compare output: its pin, its timer's control registers and where its level comes from.
struct CompareOutput {
  Pin pin;
  Width width;
  std::uint16_t control_a;  // TCCRnA; TCCRnB is the next address
  std::uint8_t mode_shift;  // COMnx1:0 in TCCRnA
  std::uint16_t compare;    // OCRnx
  std::uint16_t compare_a;  // OCRnA, the top in some modes
  std::uint16_t capture;    // ICRn, 16 bits only
};

constexpr CompareOutput sixteen(Pin pin, std::uint16_t base, int channel) {
  return {pin,
          Width::sixteen,
          base,
          static_cast<std::uint8_t>(6 - 2 * channel),
          static_cast<std::uint16_t>(base + 8 + 2 * channel),
          static_cast<std::uint16_t>(base + 8),
          static_cast<std::uint16_t>(base + 6)};
}

constexpr std::uint16_t timer1 = 0x80, timer3 = 0x90, timer4 = 0xA0, timer5 = 0x120;

constexpr std::array outputs{
    sixteen({'B', 5}, timer1, 0),
    sixteen({'B', 6}, timer1, 1),
    sixteen({'B', 7}, timer1, 2),
    sixteen({'E', 3}, timer3, 0),
    sixteen({'E', 4}, timer3, 1),
    sixteen({'E', 5}, timer3, 2),
    sixteen({'H', 3}, timer4, 0),
    sixteen({'H', 4}, timer4, 1),
    sixteen({'H', 5}, timer4, 2),
    sixteen({'L', 3}, timer5, 0),
    sixteen({'L', 4}, timer5, 1),
    sixteen({'L', 5}, timer5, 2),
    CompareOutput{{'G', 5}, Width::eight, 0x44, 4, 0x48, 0x47, 0},  // OC0B; OC0A shares PB7 with OC1C
    CompareOutput{{'B', 4}, Width::eight, 0xB0, 6, 0xB3, 0xB3, 0},  // OC2A
    CompareOutput{{'H', 6}, Width::eight, 0xB0, 4, 0xB4, 0xB3, 0},  // OC2B
};

unsigned word(std::span<const std::uint8_t> data, std::uint16_t at) {
  return static_cast<unsigned>(data[at]) | (static_cast<unsigned>(data[at + 1u]) << 8);
}

enum class Shape { none, fast, phase_correct };
struct Wave {
  Shape shape = Shape::none;
  unsigned top = 0;
};

// Waveform generation modes of the 16-bit timers, data sheet table 17-2.
Wave wave_sixteen(const CompareOutput& output, std::span<const std::uint8_t> data) {
  const unsigned a = data[output.control_a], b = data[output.control_a + 1u];
  const unsigned mode = (a & 3u) | ((b & 0x18u) >> 1);
  switch (mode) {
    case 1:
      return {Shape::phase_correct, 0xFF};
    case 2:
      return {Shape::phase_correct, 0x1FF};
    case 3:
      return {Shape::phase_correct, 0x3FF};
    case 5:
      return {Shape::fast, 0xFF};
    case 6:
      return {Shape::fast, 0x1FF};
    case 7:
      return {Shape::fast, 0x3FF};
    case 8:
    case 10:
      return {Shape::phase_correct, word(data, output.capture)};
    case 9:
    case 11:
      return {Shape::phase_correct, word(data, output.compare_a)};
    case 14:
      return {Shape::fast, word(data, output.capture)};
    case 15:
      return {Shape::fast, word(data, output.compare_a)};
    default:
      return {};
  }
}

// The 8-bit timers, table 16-8.
Wave wave_eight(const CompareOutput& output, std::span<const std::uint8_t> data) {
  const unsigned a = data[output.control_a], b = data[output.control_a + 1u];
  switch ((a & 3u) | ((b & 8u) >> 1)) {
    case 1:
      return {Shape::phase_correct, 0xFF};
    case 3:
      return {Shape::fast, 0xFF};
    case 5:
      return {Shape::phase_correct, data[output.compare_a]};
    case 7:
      return {Shape::fast, data[output.compare_a]};
    default:
      return {};
  }
}

// Fast: high from bottom to the match, compare + 1 of top + 1 counts. Phase correct: compare of top.
double share_high(Wave wave, unsigned compare) {
  const double level = std::min(compare, wave.top);
  if (wave.shape == Shape::fast) return (level + 1.0) / (wave.top + 1.0);
  return wave.top == 0 ? 0.0 : level / wave.top;
}

const CompareOutput* output_on(Pin pin) {
  const auto* found = std::find_if(outputs.begin(), outputs.end(), [&](const auto& o) { return o.pin == pin; });
  return found == outputs.end() ? nullptr : found;
}

}  // namespace

std::optional<Pin> pin_named(std::string_view name) {
  if (name.size() != 3 || name[0] != 'P' || name[2] < '0' || name[2] > '7') return std::nullopt;
  if (ports.find(name[1]) == std::string_view::npos) return std::nullopt;
  const auto bit = static_cast<std::uint8_t>(name[2] - '0');
  if (name[1] == 'G' && bit > 5) return std::nullopt;
  return Pin{name[1], bit};
}

std::optional<std::uint8_t> adc_channel_of(Pin pin) {
  if (pin.port == 'F') return pin.bit;
  if (pin.port == 'K') return static_cast<std::uint8_t>(8 + pin.bit);
  return std::nullopt;
}

PortRegisters registers_of(char port) {
  const std::size_t index = ports.find(port);
  RINGOUT_CHECK(index != std::string_view::npos);
  // Ports A–G stand from 0x20 on, H–L from 0x100 on, three registers each.
  const auto base = static_cast<std::uint16_t>(index < 7 ? 0x20 + 3 * index : 0x100 + 3 * (index - 7));
  return {base, static_cast<std::uint16_t>(base + 1), static_cast<std::uint16_t>(base + 2)};
}

bool drives_high(Pin pin, std::span<const std::uint8_t> data) {
  return duty_of(pin, data) > 0.5;
}

double duty_of(Pin pin, std::span<const std::uint8_t> data) {
  const PortRegisters port = registers_of(pin.port);
  const auto bit = static_cast<std::uint8_t>(1u << pin.bit);
  if ((data[port.ddr] & bit) == 0) return 0.0;
  const double steady = (data[port.port] & bit) != 0 ? 1.0 : 0.0;
  const CompareOutput* output = output_on(pin);
  if (output == nullptr) return steady;

  const unsigned connection = (data[output->control_a] >> output->mode_shift) & 3u;
  const bool wide = output->width == Width::sixteen;
  const Wave wave = wide ? wave_sixteen(*output, data) : wave_eight(*output, data);
  if (connection < 2 || wave.shape == Shape::none) return steady;
  const bool running = (data[output->control_a + 1u] & 7u) != 0;
  if (!running) return 0.0;
  const unsigned compare = wide ? word(data, output->compare) : data[output->compare];
  const double high = share_high(wave, compare);
  return connection == 2 ? high : 1.0 - high;
}

}  // namespace ringout::emulator
