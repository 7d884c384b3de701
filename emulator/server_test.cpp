// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/server.h"

#include <doctest/doctest.h>

#include <random>

#include "robot/testing.h"

using namespace ringout;
using namespace ringout::emulator;

namespace {

using Bytes = std::vector<std::uint8_t>;

struct Bench {
  Bench() {
    const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
    auto chip = Chip::load(RINGOUT_SELFCHECK_ELF);
    REQUIRE(chip.has_value());
    rig = std::make_unique<Rig>(robot, plant::Deviations{}, wiring_of(robot.board).value(), std::move(*chip));
    server = std::make_unique<Server>(*rig, [this](std::span<const std::uint8_t> image) -> Result<void> {
      saved.assign(image.begin(), image.end());
      return {};
    });
  }
  // The reply's body: kind first.
  Bytes ask(MessageWriter message) {
    const Bytes whole = message.finish();
    return body(server->answer(std::span(whole).subspan(length_bytes)));
  }
  static Bytes body(const Bytes& reply) {
    MessageReader reader(reply);
    REQUIRE(reader.u32() == reply.size() - length_bytes);
    return {reply.begin() + length_bytes, reply.end()};
  }
  void greet() { CHECK(ask(MessageWriter(Kind::hello).u32(protocol_magic).u16(protocol_version))[0] == 0x81); }
  static std::string refused(const Bytes& reply) {
    MessageReader reader(reply);
    CHECK(reader.u8() == refusal);
    return read_refusal(reader).id;
  }

  std::unique_ptr<Rig> rig;
  std::unique_ptr<Server> server;
  Bytes saved;
};

}  // namespace

TEST_CASE("nothing is answered before the hello, and no other version") {
  Bench bench;
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::look))) == "emulator.no-hello");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::hello).u32(protocol_magic).u16(2))) == "emulator.other-version");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::hello).u32(1).u16(1))) == "emulator.other-version");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::look))) == "emulator.no-hello");
  bench.greet();
  CHECK(bench.ask(MessageWriter(Kind::look))[0] == 0x86);
}

TEST_CASE("bytes written are answered by the firmware, with their time") {
  Bench bench;
  bench.greet();
  (void)bench.ask(MessageWriter(Kind::run).i64(Duration::milliseconds(2).ns));
  CHECK(bench.ask(MessageWriter(Kind::write).bytes(Bytes{'e', 0x42}))[0] == 0x82);
  const Bytes reply = bench.ask(MessageWriter(Kind::run).i64(Duration::milliseconds(100).ns));
  MessageReader reader(reply);
  CHECK(reader.u8() == 0x83);
  const Instant now{reader.i64()}, at{reader.i64()};
  CHECK(reader.bytes() == Bytes{0x42});
  CHECK(at <= now);
  CHECK(at > Instant{Duration::milliseconds(2).ns});
  CHECK(now < Instant{Duration::milliseconds(3).ns});

  const Bytes quiet = bench.ask(MessageWriter(Kind::run).i64(Duration::milliseconds(10).ns));
  MessageReader rest(quiet);
  (void)rest.u8();
  CHECK(rest.i64() >= Duration::milliseconds(10).ns);
  (void)rest.i64();
  CHECK(rest.bytes().empty());
}

TEST_CASE("hands, truth, reset, counters and EEPROM are within reach") {
  Bench bench;
  bench.greet();
  CHECK(bench.ask(MessageWriter(Kind::work_by_hand).u8(1).text("lift_top")) == Bytes{0x84});
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::work_by_hand).u8(1).text("lid"))) == "emulator.unknown-input");
  CHECK(bench.ask(MessageWriter(Kind::open_disconnect).u8(1)) == Bytes{0x85});
  const auto reset = [&](const std::string& name) { return bench.ask(MessageWriter(Kind::reset_breaker).text(name)); };
  CHECK(reset("main_breaker") == Bytes{0x8C});
  CHECK(Bench::refused(reset("no_breaker")) == "plant.no-such-protection");
  const Bytes truth_reply = bench.ask(MessageWriter(Kind::truth));
  MessageReader truth(truth_reply);
  CHECK(truth.u8() == 0x87);
  CHECK(read_truth(truth).motors.size() >= 4);
  CHECK(truth.whole());
  CHECK(bench.ask(MessageWriter(Kind::reset)) == Bytes{0x88});
  CHECK(bench.ask(MessageWriter(Kind::cut_power).i64(Duration::milliseconds(5).ns)) == Bytes{0x89});
  (void)bench.ask(MessageWriter(Kind::run).i64(Duration::milliseconds(20).ns));
  const Bytes counters = bench.ask(MessageWriter(Kind::counters));
  CHECK(counters == Bytes{0x8B, 2, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0});
  CHECK(bench.ask(MessageWriter(Kind::save_eeprom)) == Bytes{0x8A});
  CHECK(bench.saved == Bytes(eeprom_bytes, 0xFF));
}

TEST_CASE("messages that are too short, unknown or unreasonable are refused and leave the rig as it was") {
  Bench bench;
  bench.greet();
  const Instant before = bench.rig->now();
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::run).u32(1))) == "emulator.damaged-message");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::write).u32(50))) == "emulator.damaged-message");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::cut_power))) == "emulator.damaged-message");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::open_disconnect))) == "emulator.damaged-message");
  CHECK(Bench::refused(bench.ask(MessageWriter(Kind::reset_breaker))) == "emulator.damaged-message");
  CHECK(Bench::refused(bench.ask(MessageWriter(0x55))) == "emulator.unknown-message");
  for (const Kind kind : {Kind::run, Kind::cut_power}) {
    CHECK(Bench::refused(bench.ask(MessageWriter(kind).i64(INT64_MAX))) == "emulator.too-long");
  }
  CHECK(bench.ask(MessageWriter(Kind::run).i64(INT64_MIN))[0] == 0x83);
  CHECK(bench.rig->now() == before);
}

TEST_CASE("no message whatever ends the server") {
  Bench bench;
  bench.greet();
  std::mt19937 chance(11);
  for (int i = 0; i < 3000; ++i) {
    Bytes noise(1 + chance() % 24);
    for (auto& byte : noise) byte = static_cast<std::uint8_t>(chance() % 3 == 0 ? chance() : 0);
    noise[0] = static_cast<std::uint8_t>(chance() % 16);
    if (noise[0] == 0x03 && noise.size() > 6) noise.resize(6);  // runs of minutes would only take time
    const auto reply = Bench::body(bench.server->answer(noise));
    CHECK((reply[0] == refusal || reply[0] == (noise[0] | reply_bit)));
  }
}
