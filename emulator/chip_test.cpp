// SPDX-License-Identifier: GPL-3.0-or-later
// What the emulation is known to get wrong or to leave out, each checked on a real firmware: if a new version of the
// library or of our corrections breaks one of these, a robot's findings would be wrong for reasons outside the robot.
#include "emulator/chip.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "emulator/encoder_edges.h"
#include "emulator/selfcheck_board.h"

using namespace ringout;
using namespace ringout::emulator;

namespace {

SelfcheckBoard board() {
  return SelfcheckBoard(RINGOUT_SELFCHECK_ELF);
}

constexpr Cycles byte_cycles = 160;  // ten bits at 1 Mbaud and 16 MHz

using Bytes = std::vector<std::uint8_t>;

}  // namespace

TEST_CASE("bytes to the chip arrive every 160 cycles, not 176") {
  auto b = board();
  b.tell(Bytes(60, '?'));
  b.run(byte_cycles * 62);
  const auto answer = b.ask({'a'}, 129);
  REQUIRE(answer.size() == 129);
  CHECK(answer[0] == 61);
  for (std::size_t i = 1; i < 60; ++i) {
    const auto gap = static_cast<std::uint16_t>(SelfcheckBoard::number(answer, 1 + 2 * i, 2) -
                                                SelfcheckBoard::number(answer, 1 + 2 * (i - 1), 2));
    CHECK(gap >= byte_cycles - 16);  // the interrupt waits for the instruction that runs
    CHECK(gap <= byte_cycles + 16);
  }
  const std::uint32_t all = SelfcheckBoard::number(answer, 1 + 2 * 59, 2) - SelfcheckBoard::number(answer, 1, 2);
  CHECK(std::abs(static_cast<int>(all) - 59 * 160) <= 16);
}

TEST_CASE("bytes from the chip leave every 160 cycles and a polling loop's delay, not 176") {
  auto b = board();
  b.tell({'b', 100});
  b.run(100 * 200);
  const auto sent = b.chip().take_sent();
  REQUIRE(sent.size() == 100);
  for (std::size_t i = 1; i < sent.size(); ++i) {
    CHECK(sent[i].value == i);
    CHECK(sent[i].at - sent[i - 1].at >= byte_cycles);
    CHECK(sent[i].at - sent[i - 1].at <= byte_cycles + 10);
  }
}

TEST_CASE("an answer is not there before its last bit has passed") {
  auto b = board();
  const Cycles asked = b.chip().now();
  const auto answer = b.ask({'e', 0x5A}, 1);
  REQUIRE(answer == Bytes{0x5A});
  CHECK(b.chip().now() - asked >= 3 * byte_cycles);
  CHECK(b.chip().now() - asked <= 3 * byte_cycles + 1000);
}

TEST_CASE("a deaf chip keeps three bytes, flags the overrun and the rest is counted as lost") {
  for (const int count : {1, 2, 3, 4, 10}) {
    CAPTURE(count);
    auto b = board();
    b.tell({'d', 20, 0});          // deaf for 20,000 cycles
    b.run(3 * byte_cycles + 400);  // the command itself is through
    b.tell(Bytes(static_cast<std::size_t>(count), '?'));
    b.run(30 * millisecond / 10);
    const auto sent = b.chip().take_sent();
    REQUIRE(sent.size() == 2);
    CHECK(sent[0].value == std::min(count, 3));
    CHECK(sent[1].value == (count > 3 ? 1 : 0));
    CHECK(b.chip().counters().receive_overruns == static_cast<unsigned>(std::max(0, count - 3)));
  }
}

TEST_CASE("eight external interrupts left sensitive to low pins do not slow the chip down") {
  auto b = board();
  for (const Pin pin :
       {Pin{'D', 0}, Pin{'D', 1}, Pin{'D', 2}, Pin{'D', 3}, Pin{'E', 4}, Pin{'E', 5}, Pin{'E', 6}, Pin{'E', 7}}) {
    b.chip().set_pin(pin, false);
  }
  // Polling the levels would cost a callback every cycle; without it at most one interrupt a pin comes.
  b.tell({'T', 'v'});
  b.run(100 * millisecond);
  CHECK(SelfcheckBoard::number(b.ask({'i'}, 4), 0, 4) <= 8);
  const auto ticks = SelfcheckBoard::number(b.ask({'t'}, 2), 0, 2);
  CHECK(ticks >= 99);
  CHECK(ticks <= 101);
}

TEST_CASE("sleep does not run past the end of a step") {
  auto b = board();
  b.tell({'T'});
  b.run(millisecond);
  for (int i = 0; i < 1000; ++i) {
    const Cycles end = b.chip().now() + millisecond / 10 + static_cast<Cycles>(i);
    b.chip().run(end, RunUntil::deadline);
    CHECK(b.chip().now() >= end);
    CHECK(b.chip().now() <= end + 16);
  }
}

TEST_CASE("no edge of six encoders is lost at 5,000 edges a second each, asleep in between") {
  auto b = board();
  for (const auto& [a, other] : encoder_pins) {
    b.chip().set_pin(a, false);
    b.chip().set_pin(other, false);
  }
  b.tell({'E'});
  b.run(millisecond);
  TurningEncoders turning(b.chip().now() + 100, clock_hz / 5000);
  for (int step = 0; step < 500; ++step) {
    const Cycles end = b.chip().now() + millisecond;
    b.chip().expect_edges(turning.until(end));
    b.chip().run(end, RunUntil::deadline);
  }
  b.run(millisecond);
  const auto counts = b.counts();
  for (std::size_t i = 0; i < 6; ++i) {
    CAPTURE(i);
    CHECK(counts[i] == turning.position(i));
    CHECK(std::abs(counts[i]) >= 2490);
  }
}

TEST_CASE("PWM duty is right from nothing to full, also while other pins of the port are written") {
  auto b = board();
  b.tell({'P'});
  const std::array<Pin, 8> pins{{{'E', 3}, {'E', 4}, {'H', 3}, {'H', 4}, {'H', 5}, {'L', 3}, {'L', 4}, {'L', 5}}};
  for (std::uint8_t bridge = 0; bridge < 8; ++bridge) {
    for (const unsigned level : {0u, 1u, 400u, 799u, 800u, 0u}) {
      CAPTURE(bridge);
      CAPTURE(level);
      b.tell({'L', bridge, static_cast<std::uint8_t>(level), static_cast<std::uint8_t>(level >> 8), 'F', 0xFF, 'R', 0});
      b.run(2 * millisecond);
      CHECK(duty_of(pins[bridge], b.chip().data()) == doctest::Approx(level / 800.0).epsilon(1e-9));
      CHECK(drives_high({'C', 7}, b.chip().data()));
      CHECK_FALSE(drives_high({'K', 7}, b.chip().data()));
    }
  }
}

TEST_CASE("the eight analogue channels convert what is on their pins as the data sheet says") {
  auto b = board();
  for (std::uint8_t channel = 0; channel < 8; ++channel) b.chip().set_adc(channel, 613u * channel + 7);
  for (std::uint8_t channel = 0; channel < 8; ++channel) {
    const auto raw = SelfcheckBoard::number(b.ask({'A', channel}, 2), 0, 2);
    const double ideal = (613.0 * channel + 7) * 1024 / 5000;
    CHECK(raw == std::floor(ideal));  // data sheet 26.7: Vin * 1024 / Vref
  }
  b.chip().set_adc(3, 5000);
  CHECK(SelfcheckBoard::number(b.ask({'A', 3}, 2), 0, 2) == 1023);
}

TEST_CASE("switch pins are read back, also after a reset") {
  auto b = board();
  for (std::uint8_t bit = 0; bit < 8; ++bit) b.chip().set_pin({'A', bit}, bit % 3 == 0);
  CHECK(b.ask({'S'}, 1) == Bytes{0b01001001});
  b.chip().reset(ResetCause::external);
  b.run(millisecond);
  CHECK(b.ask({'S'}, 1) == Bytes{0b01001001});
}

TEST_CASE("pin changes reach only PCINT0-7: encoder pins are planned for that") {
  auto b = board();
  b.tell({'K'});
  b.run(millisecond);
  for (const char port : {'J', 'K'}) {
    b.chip().set_pin({port, 1}, true);
    b.chip().set_pin({port, 1}, false);
  }
  b.run(millisecond);
  // Should this ever fail, the library has learned the other two groups: more pins may carry encoders then.
  CHECK(b.ask({'k'}, 1) == Bytes{0});
}

TEST_CASE("the watchdog ends every kind of hang in its time, and the firmware sees the cause") {
  // 'w' loops with interrupts off, 'z' sleeps with interrupts off, 'x' stores outside all memory.
  for (const std::uint8_t hang : std::initializer_list<std::uint8_t>{'w', 'z', 'x'}) {
    CAPTURE(hang);
    auto b = board();
    CHECK(b.ask({'c'}, 2)[0] == static_cast<std::uint8_t>(ResetCause::power_on));
    const Cycles start = b.chip().now();
    b.tell({hang});
    while (b.chip().counters().watchdog_resets == 0 && b.chip().now() < start + 200 * millisecond) {
      b.run(millisecond / 10);
    }
    const double took_ms = static_cast<double>(b.chip().now() - start) / millisecond;
    CHECK(took_ms >= 60 * 0.9);  // WDTO_60MS: 8,192 periods of 128 kHz, 64 ms nominal
    CHECK(took_ms <= 66 * 1.1);
    b.run(millisecond);
    CHECK(b.ask({'c'}, 2) == Bytes{static_cast<std::uint8_t>(ResetCause::watchdog), 1});  // .noinit survived
    CHECK(b.chip().counters().resets == 1);
    CHECK(b.chip().counters().crashes == (hang == 'x' ? 1u : 0u));
  }
}

TEST_CASE("time goes on through a reset") {
  auto b = board();
  b.run(7 * millisecond);
  const Cycles before = b.chip().now();
  b.chip().reset(ResetCause::external);
  CHECK(b.chip().now() == before);
  b.run(millisecond);
  CHECK(b.ask({'c'}, 2) == Bytes{static_cast<std::uint8_t>(ResetCause::external), 1});
}

TEST_CASE("a power cut drops outputs and RAM, keeps the EEPROM, and bytes on the line are lost") {
  auto b = board();
  b.tell({'P', 'L', 0, 144, 1, 'W', 0x34, 0x02, 0xC3});
  b.run(5 * millisecond);
  CHECK(duty_of({'E', 3}, b.chip().data()) == doctest::Approx(0.5));
  b.chip().power_off();
  CHECK(duty_of({'E', 3}, b.chip().data()) == 0.0);
  const Cycles off = b.chip().now();
  b.tell({'e', 1});
  b.run(20 * millisecond);
  CHECK(b.chip().now() == off + 20 * millisecond);
  b.chip().power_on(ResetCause::power_on);
  b.run(millisecond);
  CHECK(b.chip().take_sent().empty());
  CHECK(b.ask({'c'}, 2) == Bytes{static_cast<std::uint8_t>(ResetCause::power_on), 0});
  CHECK(b.ask({'G', 0x34, 0x02}, 1) == Bytes{0xC3});
  CHECK(b.chip().counters().resets == 1);
}

TEST_CASE("edges that come while the power is off leave the pins where they are") {
  auto b = board();
  b.chip().set_pin({'A', 0}, false);
  b.chip().power_off();
  const std::array edges{PinEdge{b.chip().now() + 100, {'A', 0}, true}};
  b.chip().expect_edges(edges);
  b.run(millisecond);
  b.chip().power_on(ResetCause::brown_out);
  b.run(millisecond);
  CHECK(b.ask({'S'}, 1)[0] == 1);
  CHECK(b.ask({'c'}, 2)[0] == static_cast<std::uint8_t>(ResetCause::brown_out));
}

TEST_CASE("a new EEPROM is erased, and an image put in is read out by chip and host") {
  auto b = board();
  CHECK(b.chip().eeprom() == Bytes(eeprom_bytes, 0xFF));
  Bytes image(eeprom_bytes);
  for (std::size_t i = 0; i < image.size(); ++i) image[i] = static_cast<std::uint8_t>(i * 7);
  b.chip().set_eeprom(image);
  CHECK(b.ask({'G', 0xFF, 0x0F}, 1) == Bytes{image[0xFFF]});
  b.tell({'W', 0x00, 0x08, 0x11});
  b.run(10 * millisecond);
  image[0x800] = 0x11;
  CHECK(b.chip().eeprom() == image);
}

TEST_CASE("the same calls give the same bytes at the same cycles and the same memory") {
  const auto life = [] {
    auto b = board();
    b.tell({'P', 'E', 'T'});
    TurningEncoders turning(b.chip().now() + 1000, clock_hz / 5000);
    std::vector<SentByte> sent;
    for (int step = 0; step < 200; ++step) {
      if (step % 7 == 0) b.tell({'C'});
      if (step == 100) b.tell({'w'});
      b.chip().set_adc(0, static_cast<std::uint32_t>(step * 20));
      const Cycles end = b.chip().now() + millisecond;
      b.chip().expect_edges(turning.until(end));
      b.chip().run(end, RunUntil::deadline);
      for (const SentByte& byte : b.chip().take_sent()) sent.push_back(byte);
    }
    const auto data = b.chip().data();
    return std::pair(sent, Bytes(data.begin(), data.end()));
  };
  const auto first = life(), second = life();
  REQUIRE(first.first.size() == second.first.size());
  CHECK(first.first.size() > 300);
  for (std::size_t i = 0; i < first.first.size(); ++i) {
    CHECK(first.first[i].at == second.first[i].at);
    CHECK(first.first[i].value == second.first[i].value);
  }
  CHECK(first.second == second.second);
}

TEST_CASE("what is no firmware for this chip is refused with its name") {
  CHECK(Chip::load("/nowhere.elf").error().id == "emulator.bad-firmware");
  const auto text = Chip::load("README.md");
  REQUIRE_FALSE(text.has_value());
  const auto host = Chip::load("/proc/self/exe");
  REQUIRE_FALSE(host.has_value());
  CHECK(host.error().message.find("/proc/self/exe") == 0);
}
