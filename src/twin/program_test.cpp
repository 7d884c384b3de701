// A team's program, compiled for the twin, in a process of its own.
#include <doctest/doctest.h>

#include "robot/testing.h"
#include "twin/test_host.h"
#include "twin/twin.h"

using namespace ringout;
using twin::TestHost;
using twin::Twin;
using wire::ProgramState;
using wire::Status;

namespace {

const robot::Robot& carrier() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

// The test programs' points: lift, lamp, lift_encoder, lift_top; here with a table for the tray carrier's ports.
twin::TwinOptions options_for(const std::string& name) {
  twin::TwinFirmware built;
  built.board_fp = 7;
  built.program_fp = 0x0A0B0C0D;
  built.names = {{"lift", wire::PointKind::bridge_motor},
                 {"lamp", wire::PointKind::on_off},
                 {"lift_encoder", wire::PointKind::encoder},
                 {"lift_top", wire::PointKind::switch_input}};
  twin::TwinOptions options;
  options.firmware.board_fp = 7;
  options.eeprom = twin::eeprom_with_table(twin::plain_table(built, {2, 6, 2, 1}));
  options.program = std::string(RINGOUT_BINARY_DIR) + "/agent/ports/host/program_" + name;
  return options;
}

void start(TestHost& host) {
  REQUIRE(host.permit() == Status::ok);
  wire::ProgramStart request;
  request.motion = host.next_header();
  REQUIRE(host.ask(request).header.status == Status::ok);
}

double lift_current(const Twin& t) {
  for (const auto& m : t.plant().truth().motors) {
    if (m.point == "lift") return m.current;
  }
  return 1e9;
}

wire::StatusReply status_of(TestHost& host) {
  return host.ask<wire::StatusReply>(wire::StatusRequest());
}

}  // namespace

TEST_CASE("names and fingerprint are the program's own; it runs to its end with outputs off, twice") {
  Twin t(carrier(), {}, options_for("waits"));
  REQUIRE(t.program_problem().empty());
  TestHost host(t);
  const auto hello = host.ask<wire::HelloReply>(wire::Hello());
  CHECK(hello.program_fp == 0x0A0B0C0D);
  CHECK(hello.points == 4);
  CHECK((hello.features & wire::feature_program) != 0);
  for (int round = 0; round < 2; ++round) {
    CAPTURE(round);
    start(host);
    host.run_held(10);
    const auto during = status_of(host);
    CHECK(during.program_state == static_cast<int>(ProgramState::running));
    CHECK(during.wait_kind == static_cast<int>(wire::WaitKind::time));
    CHECK(std::string(during.step.chars, during.step.size) == "raise");
    CHECK(during.program_line == 9);
    host.run_held(200);
    const auto after = status_of(host);
    CHECK(after.program_state == static_cast<int>(ProgramState::ended));
    CHECK(after.stop_cause == static_cast<int>(wire::StopCause::program_ended));
    CHECK(lift_current(t) == doctest::Approx(0.0));
  }
}

TEST_CASE("a program in an endless loop: the stop takes its outputs away, and the next run can start") {
  Twin t(carrier(), {}, options_for("hangs"));
  TestHost host(t);
  start(host);
  host.run_held(60);
  CHECK(lift_current(t) > 0.05);
  t.write([] {
    std::vector<std::uint8_t> stop;
    for (std::uint8_t i = 0; i < wire::stop_frame_bytes; ++i) stop.push_back(wire::stop_frame_byte(i));
    return stop;
  }());
  host.run(30);
  CHECK(lift_current(t) == doctest::Approx(0.0));
  CHECK(status_of(host).program_state == static_cast<int>(ProgramState::stopped));
  start(host);
}

TEST_CASE("a program that crashes leaves outputs off and says what happened") {
  Twin t(carrier(), {}, options_for("crashes"));
  TestHost host(t);
  start(host);
  host.run_held(30);
  CHECK(status_of(host).state == static_cast<int>(wire::AgentState::inhibited));
  CHECK_FALSE(t.program_problem().empty());
}

TEST_CASE("without a program, and with one that is not there, program_start is not supported") {
  for (const char* name : {"", "that_is_not_there"}) {
    CAPTURE(name);
    auto options = options_for(name);
    if (*name == '\0') options.program.clear();
    options.firmware.program_fp = 0x0A0B0C0D;
    Twin t(carrier(), {}, options);
    CHECK(t.program_problem().empty() == (*name == '\0'));
    TestHost host(t);
    REQUIRE(host.permit() == Status::ok);
    wire::ProgramStart request;
    request.motion = host.next_header();
    CHECK(host.ask(request).header.status == Status::not_supported);
  }
}
