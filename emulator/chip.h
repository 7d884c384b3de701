// SPDX-License-Identifier: GPL-3.0-or-later
// The emulated ATmega2560 with a firmware in it, in its own time: cycles since power-up, counted on through resets.
// Deterministic: the same calls at the same cycles give the same bytes at the same cycles.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "emulator/pins.h"

namespace ringout::emulator {

using Cycles = std::uint64_t;

constexpr std::uint32_t clock_hz = 16'000'000;
constexpr std::size_t eeprom_bytes = 4096;

// Bits of MCUSR (data sheet 12.5.1).
enum class ResetCause : std::uint8_t { power_on = 1, external = 2, brown_out = 4, watchdog = 8 };

struct PinEdge {
  Cycles at = 0;
  Pin pin;
  bool level = false;
};

struct SentByte {
  Cycles at = 0;  // when its stop bit has passed
  std::uint8_t value = 0;
};

// What went on that the firmware's own bytes may not tell.
struct ChipCounters {
  std::uint32_t resets = 0;  // all, the first power-up not counted
  std::uint32_t watchdog_resets = 0;
  std::uint32_t receive_overruns = 0;  // bytes lost because the chip's two-byte buffer was full
  std::uint32_t crashes = 0;           // illegal instruction or the like; the chip then stands until a reset
};

enum class RunUntil { deadline, first_bytes };

class Chip {
 public:
  // Loads an ELF; its .eeprom section, if any, becomes the EEPROM's content.
  [[nodiscard]] static Result<std::unique_ptr<Chip>> load(const std::string& elf_path);
  ~Chip();
  Chip(const Chip&) = delete;
  Chip& operator=(const Chip&) = delete;

  [[nodiscard]] Cycles now() const;
  // Runs to the deadline (instructions are not divided: a few cycles beyond), or, with first_bytes, until the line has
  // been silent for two byte times after the first bytes sent, at most a millisecond after them.
  void run(Cycles deadline, RunUntil until);

  void set_pin(Pin pin, bool level);
  void set_adc(std::uint8_t channel, std::uint32_t millivolts);
  // Edges to come, in time order, none before now and none before edges given earlier.
  void expect_edges(std::span<const PinEdge> edges);

  // Bytes on the line to the chip, one after the other at the line's rate.
  void receive(std::span<const std::uint8_t> bytes);
  [[nodiscard]] std::vector<SentByte> take_sent();  // those that have fully left by now

  void reset(ResetCause cause);  // never from within a callback of the chip
  void power_off();              // outputs fall, RAM is lost
  void power_on(ResetCause cause);
  [[nodiscard]] bool powered() const;

  [[nodiscard]] std::vector<std::uint8_t> eeprom() const;
  void set_eeprom(std::span<const std::uint8_t> image);
  [[nodiscard]] std::span<const std::uint8_t> data() const;  // registers and RAM by address
  [[nodiscard]] const ChipCounters& counters() const;

 private:
  struct State;
  explicit Chip(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace ringout::emulator
