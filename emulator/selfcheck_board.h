// SPDX-License-Identifier: GPL-3.0-or-later
// A chip with the self-check firmware in it, and its commands; for tests and the bench.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "base/check.h"
#include "emulator/chip.h"

namespace ringout::emulator {

constexpr Cycles millisecond = clock_hz / 1000;

class SelfcheckBoard {
 public:
  explicit SelfcheckBoard(const std::string& elf) {
    auto loaded = Chip::load(elf);
    RINGOUT_CHECK(loaded.has_value());
    chip_ = std::move(*loaded);
    run(millisecond);
  }

  [[nodiscard]] Chip& chip() { return *chip_; }
  void run(Cycles cycles) { chip_->run(chip_->now() + cycles, RunUntil::deadline); }

  void tell(std::vector<std::uint8_t> command) { chip_->receive(command); }
  // Sends a command and collects its answer; stops short after 100 ms without enough bytes.
  [[nodiscard]] std::vector<std::uint8_t> ask(std::vector<std::uint8_t> command, std::size_t answer_bytes) {
    tell(std::move(command));
    std::vector<std::uint8_t> answer;
    const Cycles give_up = chip_->now() + 100 * millisecond;
    while (answer.size() < answer_bytes && chip_->now() < give_up) {
      chip_->run(give_up, RunUntil::first_bytes);
      for (const SentByte& byte : chip_->take_sent()) answer.push_back(byte.value);
    }
    return answer;
  }

  [[nodiscard]] static std::uint32_t number(const std::vector<std::uint8_t>& bytes, std::size_t at, std::size_t size) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < size; ++i) value |= static_cast<std::uint32_t>(bytes.at(at + i)) << (8 * i);
    return value;
  }
  [[nodiscard]] std::vector<std::int32_t> counts() {
    const auto bytes = ask({'C'}, 24);
    std::vector<std::int32_t> all;
    for (std::size_t i = 0; i < 6; ++i) all.push_back(static_cast<std::int32_t>(number(bytes, 4 * i, 4)));
    return all;
  }

 private:
  std::unique_ptr<Chip> chip_;
};

}  // namespace ringout::emulator
