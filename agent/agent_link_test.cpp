// What the agent says: hello, names, status, samples, credit, and what it makes of bytes that are no frames.
#include <doctest/doctest.h>

#include <string>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;
using wire::Status;

TEST_CASE("hello tells version, identity, counts and fingerprints, and the identity is kept") {
  Bench bench;
  wire::Hello request;
  request.nonce = 0xABCD;
  const auto reply = bench.ask<wire::HelloReply>(request);
  CHECK(reply.header.status == Status::ok);
  CHECK(reply.major == wire::protocol_major);
  CHECK(reply.minor == wire::protocol_minor);
  CHECK(reply.nonce == 0xABCD);
  CHECK(reply.board_fp == bench.firmware.board_fp);
  CHECK(reply.program_fp == bench.firmware.program_fp);
  CHECK(reply.bridges == 8);
  CHECK(reply.encoders == 6);
  CHECK(reply.adc_channels == 8);
  CHECK(reply.window == agent::receive_window);
  CHECK(reply.reset_cause == static_cast<int>(wire::ResetCause::power_on));
  CHECK((reply.features & wire::feature_program) != 0);
  bench.run(20);
  bench.board.chance = 4711;
  bench.reset(wire::ResetCause::external);
  const auto again = bench.ask<wire::HelloReply>(request);
  CHECK(std::equal(again.identity, again.identity + 8, reply.identity));
  CHECK(again.reset_cause == static_cast<int>(wire::ResetCause::external));
  Bench other;
  other.board.eeprom.assign(4096, 0xFF);
  other.board.chance = 4711;
  other.reset();
  const auto stranger = other.ask<wire::HelloReply>(request);
  CHECK_FALSE(std::equal(stranger.identity, stranger.identity + 8, reply.identity));
}

TEST_CASE("after a reset the line first gets a frame's end, and nothing else without being asked") {
  Bench bench;
  bench.reset(wire::ResetCause::watchdog);
  bench.run(50);
  CHECK(bench.board.sent == std::vector<std::uint8_t>{0});
}

TEST_CASE("a hello of another version is answered with the agent's own, and a longer one's tail is skipped") {
  Bench bench;
  wire::FrameBuilder builder;
  wire::Writer to = builder.begin(wire::type_hello, 9);
  wire::Hello request;
  request.major = 7;
  request.minor = 3;
  wire::encode(to, request);
  to.u32(0xFFFFFFFF);  // what version 7 may have added
  const std::uint16_t size = builder.close(to);
  bench.receive({builder.bytes(), builder.bytes() + size});
  bench.run(1);
  const auto frames = bench.take_frames();
  REQUIRE(frames.size() == 1);
  CHECK(frames[0][0] == wire::reply_type(wire::type_hello));
  CHECK(frames[0][1] == 9);
  wire::HelloReply reply;
  REQUIRE(wire::decode(frames[0].data() + 2, static_cast<std::uint16_t>(frames[0].size() - 2), reply));
  CHECK(reply.major == wire::protocol_major);
}

TEST_CASE("a request cut short anywhere is refused and changes nothing") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  wire::Drive drive;
  drive.motion = bench.next_header();
  drive.level_permille = 300;
  std::uint8_t payload[32];
  wire::Writer whole(payload, sizeof payload);
  wire::encode(whole, drive);
  for (std::uint16_t size = 0; size < whole.size(); ++size) {
    CAPTURE(size);
    wire::FrameBuilder builder;
    wire::Writer to = builder.begin(wire::type_drive, 1);
    to.raw(payload, size);
    const std::uint16_t bytes = builder.close(to);
    bench.receive({builder.bytes(), builder.bytes() + bytes});
    bench.run(1);
    const auto frames = bench.take_frames();
    REQUIRE(frames.size() == 1);
    CHECK(frames[0][2] == static_cast<int>(Status::too_short));
    CHECK(bench.board.all_off());
  }
}

TEST_CASE("unknown requests, unknown points, and requests without a program are refused by name") {
  Bench bench;
  wire::FrameBuilder builder;
  wire::Writer to = builder.begin(0x3E, 4);
  const std::uint16_t size = builder.close(to);
  bench.receive({builder.bytes(), builder.bytes() + size});
  bench.run(1);
  const auto frames = bench.take_frames();
  REQUIRE(frames.size() == 1);
  CHECK(frames[0][0] == 0xBE);
  CHECK(frames[0][2] == static_cast<int>(Status::unknown_type));
  wire::PointNameRequest name;
  name.point = 1;
  const auto reply = bench.ask<wire::PointNameReply>(name);
  CHECK(std::string(reply.name.chars, reply.name.size) == "clamp");
  CHECK(reply.kind == static_cast<int>(wire::PointKind::bridge_motor));
  name.point = 6;
  CHECK(bench.status_of(name) == Status::no_such_port);
  bench.program.present = false;
  bench.reset();
  REQUIRE(bench.load(bench.table()) == Status::ok);
  CHECK((bench.ask<wire::HelloReply>(wire::Hello()).features & wire::feature_program) == 0);
  bench.permit();
  wire::ProgramStart start;
  start.motion = bench.next_header();
  CHECK(bench.status_of(start) == Status::not_supported);
}

TEST_CASE("credit: consumed counts every byte since the hello") {
  Bench bench;
  bench.receive({1, 2, 3, 4, 0});
  CHECK(bench.ask<wire::HelloReply>(wire::Hello()).header.consumed == 0);
  const auto status = bench.framed(wire::type_status, wire::StatusRequest());
  bench.receive(status);
  const auto second = bench.framed(wire::type_status, wire::StatusRequest());
  bench.receive(second);
  bench.run(1);
  const auto frames = bench.take_frames();
  REQUIRE(frames.size() == 2);
  wire::StatusReply reply;
  wire::decode(frames[1].data() + 2, static_cast<std::uint16_t>(frames[1].size() - 2), reply);
  CHECK(reply.header.consumed == status.size() + second.size());
}

TEST_CASE("a ring that is overrun counts what it lost, latches the fault, and is in step again") {
  Bench bench;
  bench.receive(std::vector<std::uint8_t>(300, 0x55));
  bench.run(20);
  bench.receive({0x00});
  const auto reply = bench.ask<wire::StatusReply>(wire::StatusRequest());
  CHECK(reply.header.status == Status::ok);
  CHECK(reply.lost_bytes == 45);
  CHECK((reply.faults & wire::fault_receive_overrun) != 0);
  CHECK(reply.bad_frames == 1);
}

TEST_CASE("status tells supply, state, cause and where the program stands") {
  Bench bench;
  const auto reply = bench.ask<wire::StatusReply>(wire::StatusRequest());
  CHECK(reply.supply_mv == 12000);
  CHECK(reply.state == static_cast<int>(wire::AgentState::inhibited));
  CHECK(reply.stop_cause == static_cast<int>(wire::StopCause::after_reset));
  CHECK(reply.program_state == static_cast<int>(wire::ProgramState::ready));
  CHECK(reply.unused_stack == 1000);
}

TEST_CASE("samples come at their period with sequence and clock; one that finds no room leaves a gap") {
  Bench bench;
  wire::Stream stream;
  stream.period_ms = 2;
  stream.content = wire::sample_all;
  REQUIRE(bench.status_of(stream) == Status::ok);
  bench.board.counts[2] = -70000;
  bench.board.switches = 0xFFFB;
  bench.run(6);
  const auto frames = bench.take_frames();
  REQUIRE(frames.size() == 3);
  CHECK(frames[0].size() == 2 + 6 + 16 + 12 + 2 + 16 + 1);
  wire::SampleHead first;
  wire::SampleHead last;
  wire::decode(frames[0].data() + 2, 6, first);
  wire::decode(frames[2].data() + 2, 6, last);
  CHECK(last.sequence - first.sequence == 2);
  CHECK(last.clock_us - first.clock_us == 4000);
  const std::uint8_t* encoders = frames[0].data() + 2 + 6 + 16;
  std::uint16_t third;
  wire::Reader(encoders + 4, 2).u16(third);
  CHECK(static_cast<std::int16_t>(third) == static_cast<std::int16_t>(-70000));
  std::uint16_t switches;
  wire::Reader(encoders + 12, 2).u16(switches);
  CHECK(switches == 0xFFFB);
  bench.board.room = 100;
  bench.run(4);
  CHECK(bench.take_frames().empty());
  bench.board.room = 512;
  bench.run(2);
  const auto after = bench.take_frames();
  REQUIRE(after.size() == 1);
  wire::SampleHead late;
  wire::decode(after[0].data() + 2, 6, late);
  CHECK(late.sequence - last.sequence == 3);
  stream.period_ms = 1001;
  CHECK(bench.status_of(stream) == Status::out_of_bounds);
  bench.status_of(wire::Hello());
  bench.run(10);
  CHECK_MESSAGE(bench.take_frames().empty(), "a hello turns the stream off");
}

TEST_CASE("requests wait in the ring while an answer would find no room") {
  Bench bench;
  bench.board.room = 50;
  bench.receive(bench.framed(wire::type_status, wire::StatusRequest()));
  bench.run(5);
  CHECK(bench.take_frames().empty());
  bench.board.room = 512;
  bench.run(1);
  CHECK(bench.take_frames().size() == 1);
}
