#include "twin/twin.h"

#include <doctest/doctest.h>

#include "robot/testing.h"
#include "twin/test_host.h"

using namespace ringout;
using twin::TestHost;
using twin::Twin;
using wire::Status;
using wire::StopCause;

namespace {

const robot::Robot& carrier() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

constexpr std::uint32_t board_fp = 0xB0A2D;
constexpr std::uint8_t lift_port = 2;
constexpr std::uint8_t belt_port = 4;

std::vector<std::uint8_t> carrier_table() {
  std::vector<std::uint8_t> ports;
  const auto port_of = [](const std::string& name) {
    const robot::BoardPort& port = carrier().port_of(name);
    return port.kind == robot::PortKind::analogue_input ? port.adc_channel.value() : port.index;
  };
  for (const auto& output : carrier().outputs) ports.push_back(port_of(output.port));
  for (const auto& input : carrier().inputs) ports.push_back(port_of(input.port));
  return twin::plain_table(twin::firmware_for(carrier(), board_fp), ports);
}

twin::TwinOptions ready() {
  twin::TwinOptions options;
  options.firmware = twin::firmware_for(carrier(), board_fp);
  options.eeprom = twin::eeprom_with_table(carrier_table());
  return options;
}

plant::MotorTruth motor(const Twin& t, const std::string& name) {
  for (const plant::MotorTruth& m : t.plant().truth().motors) {
    if (m.point == name) return m;
  }
  FAIL("no motor " << name);
  return {};
}

void belt_runs(TestHost& host) {
  REQUIRE(host.permit() == Status::ok);
  REQUIRE(host.drive(belt_port, 500) == Status::ok);
  host.run_held(200);
}

StopCause cause_of(TestHost& host) {
  return static_cast<StopCause>(host.ask<wire::StatusReply>(wire::StatusRequest()).stop_cause);
}

}  // namespace

TEST_CASE("a request and its reply take their bytes' time on the line, and at most a tick") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  static_cast<void>(t.run_until(t.now() + Duration::microseconds(300)));
  const Instant sent = t.now();
  const auto reply = host.ask<wire::HelloReply>(wire::Hello());
  CHECK(reply.header.status == Status::ok);
  const std::int64_t us = (t.now() - sent).ns / 1000;
  CHECK(us >= (2 + 10 + 4 + 2 + 2 + 51 + 4 + 2) * 10);
  CHECK(us <= 1000 + (2 + 51 + 4 + 2) * 10 + 10);
  CHECK(reply.bridges == 8);
  CHECK(reply.encoders == 6);
  CHECK(reply.switches == 8);
  CHECK(reply.points == carrier().outputs.size() + carrier().inputs.size());
  CHECK(reply.table_state == static_cast<int>(wire::TableState::valid));
}

TEST_CASE("driving the lift moves the plant, and the agent counts its encoder") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  const double before = motor(t, "lift").position;
  REQUIRE(host.permit() == Status::ok);
  wire::Stream stream;
  stream.period_ms = 10;
  stream.content = wire::sample_encoders;
  REQUIRE(host.ask(stream).header.status == Status::ok);
  host.heard.clear();
  REQUIRE(host.drive(lift_port, 400) == Status::ok);
  host.run_held(300);
  CHECK(motor(t, "lift").position > before + 0.002);
  std::int16_t last = 0;
  int samples = 0;
  for (const auto& f : host.heard) {
    if (f.type != wire::type_sample) continue;
    REQUIRE(f.payload.size() == 6 + 2 * 6);
    wire::Reader from(f.payload.data() + 6 + 2 * lift_port, 2);
    from.i16(last);
    ++samples;
  }
  CHECK(samples >= 29);
  // 12 lines on the motor's shaft, four counts a line, gear 15, 8 mm a turn: 90 counts a millimetre.
  const double travelled_mm = (motor(t, "lift").position - before) * 1000;
  CHECK(last == doctest::Approx(travelled_mm * 90).epsilon(0.1));
}

TEST_CASE("host gone: the motor has no drive 100 ms after the host's last word") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  belt_runs(host);
  REQUIRE(motor(t, "belt").current > 0.05);
  host.run(100);
  CHECK(motor(t, "belt").current == doctest::Approx(0.0));
  CHECK(cause_of(host) == StopCause::hold_lapsed);
}

TEST_CASE("host gone and interrupts blocked: the watchdog takes the drive away within 100 ms") {
  for (int after_ms = 0; after_ms <= 30; after_ms += 3) {
    CAPTURE(after_ms);
    Twin t(carrier(), {}, ready());
    TestHost host(t);
    belt_runs(host);
    host.run(after_ms);
    t.block_interrupts(Duration::seconds(10));
    host.run(100 - after_ms);
    CHECK(motor(t, "belt").current == doctest::Approx(0.0));
    CHECK(t.resets() <= 1);
    if (after_ms < 10) {
      CHECK(t.resets() == 1);
      CHECK(cause_of(host) == StopCause::watchdog);
    }
  }
}

TEST_CASE("a reset in the middle of a frame damages that frame alone: the first hello after it is answered") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  wire::Stream stream;
  stream.period_ms = 2;
  stream.content = 0x1F;
  REQUIRE(host.ask(stream).header.status == wire::Status::ok);
  for (int i = 0; i < 1000 && !host.in_frame(); ++i) host.listen(t.now() + Duration::microseconds(100));
  REQUIRE(host.in_frame());
  t.reset(wire::ResetCause::watchdog);
  CHECK(host.ask<wire::HelloReply>(wire::Hello()).header.status == wire::Status::ok);
}

TEST_CASE("stop: no drive a millisecond after its last byte") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  belt_runs(host);
  std::vector<std::uint8_t> stop;
  for (std::uint8_t i = 0; i < wire::stop_frame_bytes; ++i) stop.push_back(wire::stop_frame_byte(i));
  t.write(stop);
  host.run(4);
  CHECK(motor(t, "belt").current == doctest::Approx(0.0));
  CHECK(cause_of(host) == StopCause::host_stop);
}

TEST_CASE("the supply disconnect: the agent sees the supply fall and turns outputs off; the chip lives on") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  CHECK(host.ask<wire::StatusReply>(wire::StatusRequest()).supply_mv > 11500);
  belt_runs(host);
  REQUIRE(t.bystander().open_disconnect(true).has_value());
  host.run_held(500);
  const auto status = host.ask<wire::StatusReply>(wire::StatusRequest());
  CHECK(status.supply_mv < 3000);
  CHECK((status.faults & wire::fault_supply_low) != 0);
  CHECK(host.permit() == Status::inhibited);
  REQUIRE(t.bystander().open_disconnect(false).has_value());
  host.run(500);
  CHECK(host.permit() == Status::ok);
  CHECK(t.resets() == 0);
}

TEST_CASE("a switch worked by hand reaches the agent; an unknown input is refused in words") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  REQUIRE(t.bystander().work_by_hand("lift_top", true).has_value());
  host.run(50);
  REQUIRE(host.permit() == Status::ok);
  wire::Stream stream;
  stream.period_ms = 1;
  stream.content = wire::sample_switches;
  CHECK(host.ask(stream).header.status == Status::ok);
  host.heard.clear();
  host.run(5);
  REQUIRE_FALSE(host.heard.empty());
  std::uint16_t levels = 0;
  wire::Reader(host.heard.back().payload.data() + 6, 2).u16(levels);
  CHECK((levels & 0b11) == 0b01);
  const auto refused = t.bystander().work_by_hand("lift_topp", true);
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().id == "twin.no-such-input");
}

TEST_CASE("the EEPROM image goes on to the next run: identity and table") {
  auto options = ready();
  options.eeprom.clear();
  Twin first(carrier(), {}, options);
  TestHost host(first);
  CHECK(host.ask<wire::HelloReply>(wire::Hello()).table_state == static_cast<int>(wire::TableState::none));
  const auto table = carrier_table();
  REQUIRE(host.load(table) == Status::ok);
  const auto before = host.ask<wire::HelloReply>(wire::Hello());
  options.eeprom = first.eeprom();
  options.seed = 99;
  Twin second(carrier(), {}, options);
  TestHost again(second);
  const auto after = again.ask<wire::HelloReply>(wire::Hello());
  CHECK(after.table_fp == before.table_fp);
  CHECK(after.table_fp == wire::crc32(table.data(), static_cast<std::uint16_t>(table.size() - 4)));
  CHECK(std::equal(after.identity, after.identity + 8, before.identity));
}

TEST_CASE("old firmware and a program of other names are what the options say") {
  auto options = ready();
  options.firmware.major = 0;
  options.firmware.minor = 0;
  options.firmware.patch = 9;
  options.firmware.names[3].name = "gripper";
  options.firmware.program_fp ^= 0x55;
  Twin t(carrier(), {}, options);
  TestHost host(t);
  const auto reply = host.ask<wire::HelloReply>(wire::Hello());
  CHECK(reply.firmware_minor == 0);
  CHECK(reply.firmware_patch == 9);
  CHECK(reply.program_fp == options.firmware.program_fp);
  CHECK(reply.table_state == static_cast<int>(wire::TableState::refused_names));
  wire::PointNameRequest name;
  name.point = 3;
  const auto named = host.ask<wire::PointNameReply>(name);
  CHECK(std::string(named.name.chars, named.name.size) == "gripper");
  CHECK(host.permit() == Status::no_table);
}

TEST_CASE("same seed, same bytes at the same times; another seed, another run") {
  const auto run = [](std::uint64_t seed) {
    auto options = ready();
    options.seed = seed;
    Twin t(carrier(), {}, options);
    TestHost host(t);
    host.permit();
    wire::Stream stream;
    stream.period_ms = 1;
    stream.content = wire::sample_all;
    host.ask(stream);
    host.drive(lift_port, 300);
    std::vector<std::pair<std::uint8_t, std::int64_t>> bytes;
    for (const auto& b : t.run_until(t.now() + Duration::milliseconds(200))) bytes.emplace_back(b.byte, b.at.ns);
    return bytes;
  };
  const auto once = run(3);
  CHECK(once.size() > 5000);
  CHECK(once == run(3));
  CHECK(once != run(4));
}

TEST_CASE("a host that ignores the window overruns the receive ring, as on the chip") {
  Twin t(carrier(), {}, ready());
  TestHost host(t);
  const std::vector<std::uint8_t> flood(3000, 0x41);
  t.write(flood);
  host.run(100);
  t.write(std::vector<std::uint8_t>{0});
  const auto status = host.ask<wire::StatusReply>(wire::StatusRequest());
  CHECK(status.lost_bytes > 500);
  CHECK((status.faults & wire::fault_receive_overrun) != 0);
}

TEST_CASE("nothing leaves a chip whose supply is gone") {
  robot::Robot r = carrier();
  r.board.usb_powered = false;
  Twin t(r, {}, ready());
  TestHost host(t);
  wire::Stream stream;
  stream.period_ms = 2;
  stream.content = 0x1F;
  REQUIRE(host.ask(stream).header.status == wire::Status::ok);
  REQUIRE(t.bystander().open_disconnect(true).has_value());
  for (int ms = 0; ms < 5000 && t.resets() == 0; ++ms) {
    static_cast<void>(t.run_until(t.now() + Duration::milliseconds(1)));
  }
  REQUIRE(t.resets() == 1);
  CHECK(t.run_until(t.now() + Duration::milliseconds(50)).empty());
}
