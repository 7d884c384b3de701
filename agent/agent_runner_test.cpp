// The team's program as the agent sees it.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;
using wire::ProgramState;
using wire::Status;
using wire::StopCause;

namespace {

Status start(Bench& bench) {
  wire::ProgramStart request;
  request.motion = bench.next_header();
  return bench.status_of(request);
}

void running(Bench& bench) {
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  REQUIRE(start(bench) == Status::ok);
  REQUIRE(bench.program.starts == 1);
  REQUIRE(bench.agent->program_live());
}

}  // namespace

TEST_CASE("a program moves its points by their signs and bounds, and reads them in their units") {
  Bench bench;
  running(bench);
  bench.agent->program_set(0, 300, 12);
  bench.agent->program_set(1, 900, 13);
  bench.agent->program_set(2, -500, 14);
  bench.agent->program_set(3, 500, 15);   // an input
  bench.agent->program_set(99, 500, 16);  // no point at all
  bench.run_held(15);
  CHECK(bench.board.levels[0] == 300);
  CHECK_MESSAGE(bench.board.levels[1] == -800, "reversed, and cut to its bound");
  CHECK(bench.board.levels[2] == 0);
  bench.board.adc[1] = 600;
  CHECK(bench.agent->program_read(5, 17) == doctest::Approx(290.0));
  CHECK(bench.agent->program_read(4, 18) == 0.0f);
  bench.board.switches = 0xFFFD;
  CHECK(bench.agent->program_read(4, 18) == 1.0f);
  bench.agent->program_step("raise", 19);
  bench.agent->program_waits(wire::WaitKind::input, 4, 20);
  bench.run(1);
  CHECK_MESSAGE(bench.board.levels[0] == 0, "the lift's end switch acts on the program too");
  CHECK(bench.board.levels[1] == -800);
  const auto status = bench.ask<wire::StatusReply>(wire::StatusRequest());
  CHECK(status.program_state == static_cast<int>(ProgramState::running));
  CHECK(status.program_line == 20);
  CHECK(status.wait_kind == static_cast<int>(wire::WaitKind::input));
  CHECK(status.wait_point == 4);
  CHECK(std::string(status.step.chars, status.step.size) == "raise");
  bench.agent->program_set(0, 300, 21);
  bench.run(1);
  CHECK_MESSAGE(bench.board.levels[0] == 0, "toward an end that is reached is off");
  bench.take_frames();
  int told = 0;
  for (const auto& f : bench.events) told += f[0] == wire::type_stopped ? 1 : 0;
  CHECK_MESSAGE(told == 1, "the end is told when it stops the lift, not at each attempt");
  bench.agent->program_outputs_off(22);
  CHECK(bench.board.all_off());
  CHECK(bench.agent->program_live());
}

TEST_CASE("a program moves what is not proved within the bounds for any device, however it drives it") {
  for (const bool in_pieces : {false, true}) {
    CAPTURE(in_pieces);
    Bench bench;
    bench.entries[0].flags = 0;
    running(bench);
    bench.agent->program_set(2, 500, 11);  // proved: its own bounds
    int on_ms = 0;
    int highest = 0;
    for (int ms = 0; ms < 900; ++ms) {
      bench.agent->program_set(0, in_pieces && ms % 5 == 4 ? 0 : 800, 12);
      bench.run_held(1);
      if (bench.board.levels[0] != 0) ++on_ms;
      highest = std::max<int>(highest, bench.board.levels[0]);
    }
    CHECK(highest <= 250);
    CHECK(on_ms >= 150);
    CHECK(on_ms <= 200);
    CHECK(bench.board.levels[0] == 0);
    CHECK(bench.board.levels[2] == 500);
    CHECK(bench.agent->program_live());
  }
}

TEST_CASE("a program that returns leaves everything off and permission void") {
  Bench bench;
  running(bench);
  bench.agent->program_set(0, 300, 12);
  bench.run_held(5);
  bench.agent->program_over();
  CHECK_MESSAGE(bench.board.all_off(), "at once, not at the next tick");
  bench.run(1);
  CHECK(bench.agent->program_state() == ProgramState::ended);
  CHECK(bench.agent->last_stop() == StopCause::program_ended);
  CHECK(bench.program.stops == 0);
  CHECK(start(bench) == Status::no_permission);
}

TEST_CASE("stop, a lost host, a low supply or program_stop ends a program, also one that never calls again") {
  struct Case {
    const char* name;
    void (*happens)(Bench& b);
    StopCause cause;
  };
  const Case cases[] = {
      {"stop",
       [](Bench& b) {
         for (std::uint8_t n = 0; n < wire::stop_frame_bytes; ++n) b.agent->on_receive_byte(wire::stop_frame_byte(n));
         CHECK(b.board.all_off());
         CHECK_FALSE(b.agent->program_live());
         b.run(1);
       },
       StopCause::host_stop},
      {"host lost", [](Bench& b) { b.run(wire::hold_lapse_ms + 1); }, StopCause::hold_lapsed},
      {"supply",
       [](Bench& b) {
         b.board.adc[0] = 300;
         b.run(agent::supply_low_ticks);
       },
       StopCause::supply_low},
      {"program_stop", [](Bench& b) { b.status_of(wire::ProgramStop()); }, StopCause::program_stopped},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Bench bench;
    running(bench);
    bench.agent->program_set(0, 300, 12);
    bench.run_held(5);
    REQUIRE(bench.board.levels[0] == 300);
    c.happens(bench);
    CHECK(bench.board.all_off());
    CHECK(bench.agent->last_stop() == c.cause);
    CHECK(bench.agent->program_state() == ProgramState::stopped);
    CHECK(bench.program.stops == 1);
    bench.agent->program_set(0, 300, 13);
    bench.run(2);
    CHECK_MESSAGE(bench.board.all_off(), "a program that goes on moves nothing");
    bench.board.adc[0] = 600;
    bench.run(1);
    bench.permit();
    REQUIRE(bench.last_status == Status::ok);
    bench.agent->program_set(0, 300, 14);
    bench.run(2);
    CHECK_MESSAGE(bench.board.all_off(), "not with a permission given for something else either");
    CHECK_MESSAGE(start(bench) == Status::busy, "it has not left yet");
    bench.agent->program_over();
    CHECK(start(bench) == Status::ok);
  }
}

TEST_CASE("firmware without a program, and a program while something else moves, are refused") {
  Bench bench;
  bench.program.present = false;
  bench.reset();
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  CHECK(start(bench) == Status::not_supported);
  Bench other;
  REQUIRE(other.load(other.table()) == Status::ok);
  other.permit();
  REQUIRE(other.drive(0, 200) == Status::ok);
  CHECK(start(other) == Status::busy);
  REQUIRE(other.drive(0, 0) == Status::ok);
  REQUIRE(start(other) == Status::ok);
  CHECK(other.drive(0, 200) == Status::busy);
  CHECK(other.status_of(other.gentle_bump(0, 200)) == Status::busy);
}
