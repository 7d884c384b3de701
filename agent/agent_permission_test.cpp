// Nothing moves without live permission, nothing on a late, repeated, reordered frame or a wrong token.
#include <doctest/doctest.h>

#include <set>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;
using wire::Status;

TEST_CASE("after reset outputs are inhibited, and a table alone moves nothing") {
  Bench bench;
  CHECK(bench.agent->state() == wire::AgentState::inhibited);
  CHECK(bench.agent->last_stop() == wire::StopCause::after_reset);
  bench.permit();
  CHECK(bench.last_status == Status::no_table);
  REQUIRE(bench.load(bench.table()) == Status::ok);
  CHECK(bench.drive(0, 300) == Status::no_permission);
  CHECK(bench.status_of(bench.gentle_bump(0, 200)) == Status::no_permission);
  wire::ProgramStart start;
  start.motion = bench.next_header();
  CHECK(bench.status_of(start) == Status::no_permission);
  bench.run(50);
  CHECK(bench.board.all_off());
}

TEST_CASE("with permission an output follows its slope, and its level is bounded") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  REQUIRE(bench.last_status == Status::ok);
  CHECK(bench.drive(0, 801) == Status::out_of_bounds);
  CHECK(bench.last_detail == static_cast<int>(wire::Bound::level));
  REQUIRE(bench.drive(0, 250) == Status::ok);
  CHECK(bench.board.levels[0] == 100);
  bench.run(1);
  CHECK(bench.board.levels[0] == 200);
  bench.run(1);
  CHECK(bench.board.levels[0] == 250);
  REQUIRE(bench.drive(0, 0) == Status::ok);
  CHECK_MESSAGE(bench.board.levels[0] == 0, "off is never delayed by a slope");
  CHECK(bench.board.off_modes[0] == agent::OffMode::brake);
  CHECK_MESSAGE(bench.drive(2, -100) == Status::out_of_bounds, "an on/off output knows no reverse");
  CHECK_MESSAGE(bench.drive(5, 100) == Status::no_such_port, "nothing is drawn on this bridge");
  CHECK(bench.drive(200, 100) == Status::no_such_port);
}

TEST_CASE("frames that are late, repeated, reordered or carry another token move nothing") {
  struct Case {
    const char* name;
    void (*spoil)(wire::MotionHeader& h, const Bench& bench);
    Status refused;
  };
  const Case cases[] = {
      {"late", [](wire::MotionHeader& h, const Bench& b) { h.not_after_us = b.board.clock_us - 2000; },
       Status::too_late},
      {"far ahead", [](wire::MotionHeader& h, const Bench& b) { h.not_after_us = b.board.clock_us + 900000; },
       Status::out_of_bounds},
      {"repeated", [](wire::MotionHeader& h, const Bench&) { h.sequence = 10; }, Status::old_sequence},
      {"reordered", [](wire::MotionHeader& h, const Bench&) { h.sequence = 4; }, Status::old_sequence},
      {"sequence 0", [](wire::MotionHeader& h, const Bench&) { h.sequence = 0; }, Status::old_sequence},
      {"wrong token", [](wire::MotionHeader& h, const Bench&) { h.token ^= 1; }, Status::wrong_token},
      {"token 0", [](wire::MotionHeader& h, const Bench&) { h.token = 0; }, Status::wrong_token},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Bench bench;
    REQUIRE(bench.load(bench.table()) == Status::ok);
    bench.permit();
    bench.sequence = 9;
    REQUIRE(bench.hold() == Status::ok);  // sequence 10
    wire::Drive request;
    request.motion = bench.next_header();
    request.level_permille = 300;
    c.spoil(request.motion, bench);
    CHECK(bench.status_of(request) == c.refused);
    bench.run(5);
    CHECK(bench.board.all_off());
  }
}

TEST_CASE("a refused hold does not keep the output on") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  REQUIRE(bench.drive(0, 300) == Status::ok);
  for (int i = 0; i < wire::hold_lapse_ms + 1; ++i) {
    wire::Hold hold;
    hold.motion.token = bench.token;
    hold.motion.sequence = 1;  // always the same
    hold.motion.not_after_us = bench.board.clock_us + 50000;
    bench.receive(bench.framed(wire::type_hold, hold));
    bench.run(1);
  }
  CHECK(bench.board.all_off());
  CHECK(bench.agent->last_stop() == wire::StopCause::hold_lapsed);
}

TEST_CASE("hello, release, stop and the loading of a table void permission") {
  const auto voided_by = [](const char* name, auto action, wire::StopCause cause) {
    CAPTURE(name);
    Bench bench;
    REQUIRE(bench.load(bench.table()) == Status::ok);
    bench.permit();
    action(bench);
    CHECK(bench.agent->state() == wire::AgentState::inhibited);
    CHECK(bench.agent->last_stop() == cause);
    CHECK(bench.drive(0, 300) == Status::no_permission);
    CHECK(bench.board.all_off());
  };
  voided_by(
      "hello", [](Bench& b) { b.status_of(wire::Hello()); }, wire::StopCause::hello);
  voided_by(
      "stop", [](Bench& b) { b.status_of(wire::Stop()); }, wire::StopCause::host_stop);
  voided_by(
      "release",
      [](Bench& b) {
        wire::Release release;
        release.token = b.token;
        b.status_of(release);
      },
      wire::StopCause::released);
  voided_by(
      "table", [](Bench& b) { b.load(b.table()); }, wire::StopCause::table_changed);
}

TEST_CASE("tokens are fresh: none comes twice in a power-up, and an old one is worth nothing") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  std::set<std::uint32_t> seen;
  std::uint32_t before = 0;
  for (int i = 0; i < 300; ++i) {
    bench.permit();
    REQUIRE(bench.last_status == Status::ok);
    CHECK(seen.insert(bench.token).second);
    if (i > 0) {
      wire::Drive request;
      request.motion = bench.next_header();
      request.motion.token = before;
      request.level_permille = 100;
      CHECK(bench.status_of(request) == Status::wrong_token);
    }
    before = bench.token;
  }
  agent::Bench other;
  other.board.chance = 99;
  other.reset();
  REQUIRE(other.load(other.table()) == Status::ok);
  other.permit();
  CHECK_MESSAGE(seen.count(other.token) == 0, "another power-up starts elsewhere");
}

TEST_CASE("a repeated permit has the same answer until something was moved, and cannot disturb what moves") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  wire::Permit request;
  request.nonce = 5;
  const std::uint32_t first = bench.ask<wire::PermitReply>(request).token;
  CHECK(bench.ask<wire::PermitReply>(request).token == first);
  bench.token = first;
  REQUIRE(bench.drive(0, 300) == Status::ok);
  CHECK(bench.ask<wire::PermitReply>(request).header.status == Status::moving);
  CHECK(bench.drive(0, 200) == Status::ok);
}

TEST_CASE("a permission that nobody uses lapses") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  bench.run(wire::permit_idle_ms - 2);
  CHECK(bench.agent->state() == wire::AgentState::permitted);
  bench.run(4);
  CHECK(bench.agent->state() == wire::AgentState::inhibited);
}

TEST_CASE("an output that is not proved is bounded for any device, in level and in time") {
  Bench bench;
  bench.entries[0].flags = 0;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  CHECK(bench.drive(0, 251) == Status::out_of_bounds);
  REQUIRE(bench.drive(0, 250) == Status::ok);
  CHECK_MESSAGE(bench.board.levels[0] == 10, "the slope is the one for unproved ports");
  bench.run_held(196);
  CHECK(bench.board.levels[0] == 250);
  bench.run_held(10);
  CHECK(bench.board.levels[0] == 0);
  CHECK(bench.agent->last_stop() == wire::StopCause::duration_over);
  CHECK(bench.drive(0, 250) == Status::out_of_bounds);
  CHECK(bench.last_detail == static_cast<int>(wire::Bound::duration));
  CHECK_MESSAGE(bench.drive(0, 0) == Status::ok, "off is never refused");
}
