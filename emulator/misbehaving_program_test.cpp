// SPDX-License-Identifier: GPL-3.0-or-later
// The agent's promises on the chip itself, with a team's program that does what none should: agent/ports/avr_mega2560/
// test_firmware. That the agent keeps its rules is tested on the host; here it is the chip's interrupts, timer and
// watchdog that must let it.
#include <doctest/doctest.h>

#include <array>
#include <optional>
#include <vector>

#include "agent/eeprom_image.h"
#include "emulator/chip.h"
#include "wire/frame.h"
#include "wire/messages.h"
#include "wire/point_table.h"

using namespace ringout;
using namespace ringout::emulator;

namespace {

constexpr Cycles millisecond = clock_hz / 1000;
constexpr Pin mover_pwm{'E', 3};
constexpr Pin mover_forward{'C', 0};
constexpr Pin mover_reverse{'K', 0};
constexpr Pin lamp_pwm{'E', 4};
constexpr Pin pressed_in{'A', 0};
constexpr std::uint8_t supply_channel = 0;
constexpr std::uint8_t angle_channel = 1;

// What the program does once the switch acts, as the millivolts that ask for it.
enum class Does : std::uint32_t {
  loop = 500,
  loop_uninterruptible = 2000,
  block_in_pieces = 3000,
  set_no_number = 4000
};

std::vector<std::uint8_t> table() {
  wire::TableHeader header;
  header.program_fp = 0xF76481F2;  // test_firmware/points.hpp
  header.board_fp = 0x7E57B0A2;    // test_firmware/board.hpp
  header.unproved_level_permille = 200;
  header.unproved_duration_ms = 100;
  header.unproved_slope_permille_per_ms = 10;
  header.supply_low_mv = 8500;
  header.supply_adc = supply_channel;
  header.supply_mv_per_raw = 19.53f;
  std::array<wire::TableEntry, 5> entries;
  const auto kinds = {wire::PointKind::bridge_motor, wire::PointKind::on_off, wire::PointKind::encoder,
                      wire::PointKind::analogue, wire::PointKind::switch_input};
  std::size_t i = 0;
  for (const wire::PointKind kind : kinds) entries.at(i++).kind = static_cast<std::uint8_t>(kind);
  const std::array<std::uint8_t, 5> ports{0, 1, 0, angle_channel, 0};
  for (i = 0; i < 5; ++i) entries.at(i).port = ports.at(i);
  for (i = 0; i < 2; ++i) {
    entries.at(i).flags = wire::entry_proved;
    entries.at(i).max_level_permille = 1000;
  }
  entries[4].flags = wire::entry_acts_low;
  std::vector<std::uint8_t> bytes(wire::table_bytes(5));
  wire::encode_table(header, entries.data(), 5, bytes.data());
  return bytes;
}

class Bench {
 public:
  explicit Bench(Does does) {
    auto loaded = Chip::load(RINGOUT_TEST_FIRMWARE_ELF);
    REQUIRE_MESSAGE(loaded.has_value(), (loaded ? "" : loaded.error().message));
    chip_ = std::move(*loaded);
    std::vector<std::uint8_t> image(eeprom_bytes, 0xFF);
    const auto bytes = table();
    agent::put_table(image.data(), bytes.data(), static_cast<std::uint16_t>(bytes.size()));
    chip_->set_eeprom(image);
    chip_->set_adc(supply_channel, 3000);  // 12 V by the board's divider
    chip_->set_adc(angle_channel, static_cast<std::uint32_t>(does));
    chip_->set_pin(pressed_in, true);
    run_ms(50);
    REQUIRE(ask(wire::Hello()) == wire::Status::ok);
  }

  Chip& chip() { return *chip_; }
  void run_ms(double ms) {
    chip_->run(chip_->now() + static_cast<Cycles>(ms * static_cast<double>(millisecond)), RunUntil::deadline);
  }

  template <class Request>
  std::vector<std::uint8_t> framed(const Request& request) {
    wire::FrameBuilder builder;
    const std::uint16_t size = wire::build(builder, Request::type, ++tag_, request);
    return {builder.bytes(), builder.bytes() + size};
  }
  // Sends a request and waits at most 20 ms for its reply: its status, if it came.
  template <class Request>
  std::optional<wire::Status> ask(const Request& request) {
    chip_->receive(framed(request));
    return reply(Request::type);
  }
  std::optional<wire::Status> reply(std::uint8_t type) {
    for (int i = 0; i < 200; ++i) {
      run_ms(0.1);
      for (const SentByte& byte : chip_->take_sent()) {
        if (decoder_.push(byte.value) != wire::FrameDecoder::Event::frame) continue;
        const wire::Frame frame = decoder_.frame();
        if (frame.type != wire::reply_type(type) || frame.tag != tag_) continue;
        wire::ReplyHeader header;
        REQUIRE(wire::decode(frame.payload, frame.size, header));
        clock_us_ = header.clock_us;
        wire::PermitReply permit;
        if (type == wire::type_permit && wire::decode(frame.payload, frame.size, permit)) token_ = permit.token;
        return header.status;
      }
    }
    return std::nullopt;
  }

  std::optional<wire::Status> permit() {
    wire::Permit request;
    request.nonce = ++nonce_;
    sequence_ = 0;
    return ask(request);
  }
  template <class Request>
  Request motion() {
    Request request;
    request.motion = {token_, ++sequence_, clock_us_ + 100'000};
    return request;
  }
  // Starts the program and lets it come to what it is to do: held all the while.
  void start_and_misbehave() {
    REQUIRE(permit() == wire::Status::ok);
    REQUIRE(ask(motion<wire::ProgramStart>()) == wire::Status::ok);
    for (int i = 0; i < 5; ++i) {
      REQUIRE(ask(motion<wire::Hold>()) == wire::Status::ok);
      run_ms(8);
    }
    REQUIRE(mover_level() == doctest::Approx(0.5).epsilon(0.01));
    chip_->set_pin(pressed_in, false);
    REQUIRE(ask(motion<wire::Hold>()) == wire::Status::ok);
    run_ms(5);
  }

  double mover_level() {
    const double duty = duty_of(mover_pwm, chip_->data());
    const bool forward = drives_high(mover_forward, chip_->data());
    const bool reverse = drives_high(mover_reverse, chip_->data());
    return forward == reverse ? 0.0 : forward ? duty : -duty;
  }
  bool all_off() { return mover_level() == 0.0 && duty_of(lamp_pwm, chip_->data()) == 0.0; }
  // Milliseconds from now until every output is off.
  double off_after_ms() {
    const Cycles from = chip_->now();
    while (!all_off() && chip_->now() < from + 3000 * millisecond) run_ms(0.1);
    return static_cast<double>(chip_->now() - from) / static_cast<double>(millisecond);
  }

 private:
  std::unique_ptr<Chip> chip_;
  wire::FrameDecoder decoder_;
  std::uint8_t tag_ = 0;
  std::uint32_t nonce_ = 0;
  std::uint32_t token_ = 0;
  std::uint32_t sequence_ = 0;
  std::uint32_t clock_us_ = 0;
};

}  // namespace

TEST_CASE("stop acts inside an endless loop of the program, and the program does not come back") {
  Bench bench(Does::loop);
  bench.start_and_misbehave();
  REQUIRE(bench.mover_level() > 0.4);
  std::vector<std::uint8_t> stop;
  for (std::uint8_t i = 0; i < wire::stop_frame_bytes; ++i) stop.push_back(wire::stop_frame_byte(i));
  bench.chip().receive(stop);
  CHECK(bench.off_after_ms() < 0.3);  // its eight bytes take 0.08 ms
  bench.run_ms(200);
  CHECK(bench.all_off());
  REQUIRE(bench.permit() == wire::Status::ok);
  CHECK_MESSAGE(bench.ask(bench.motion<wire::ProgramStart>()) == wire::Status::busy, "it never left its loop");
}

TEST_CASE("the host's last word, then silence: off within 100 ms, whatever the program does") {
  for (const Does does : {Does::loop, Does::loop_uninterruptible, Does::block_in_pieces, Does::set_no_number}) {
    CAPTURE(static_cast<int>(does));
    Bench bench(does);
    bench.start_and_misbehave();
    CHECK(bench.off_after_ms() < 95);  // 5 ms have passed since the last word
    bench.run_ms(200);
    CHECK(bench.all_off());
  }
}

TEST_CASE("a level that is no number is off") {
  Bench bench(Does::set_no_number);
  bench.start_and_misbehave();
  CHECK(bench.mover_level() == 0.0);
}

TEST_CASE("a program that is stopped before it has begun, or just then, can be started again") {
  for (int tenths_ms = 0; tenths_ms < 10; ++tenths_ms) {  // against the tick
    CAPTURE(tenths_ms);
    Bench bench(Does::loop);
    REQUIRE(bench.permit() == wire::Status::ok);
    bench.run_ms(0.1 * tenths_ms);
    auto both = bench.framed(bench.motion<wire::ProgramStart>());
    const auto stop = bench.framed(wire::ProgramStop());
    both.insert(both.end(), stop.begin(), stop.end());
    bench.chip().receive(both);
    REQUIRE(bench.reply(wire::type_program_stop) == wire::Status::ok);
    CHECK(bench.all_off());
    REQUIRE(bench.permit() == wire::Status::ok);
    CHECK(bench.ask(bench.motion<wire::ProgramStart>()) == wire::Status::ok);
  }
}
