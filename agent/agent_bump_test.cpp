// Bumps: bounded by the agent, watched by every sensor.
#include <doctest/doctest.h>

#include <algorithm>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;
using wire::Status;
using wire::StopCause;

namespace {

struct Ended {
  int count = 0;
  wire::BumpEndedEvent last;
};

Ended bump_ends(Bench& bench) {
  bench.take_frames();
  Ended ended;
  for (const auto& f : bench.events) {
    if (f[0] != wire::type_bump_ended) continue;
    ++ended.count;
    wire::decode(f.data() + 2, static_cast<std::uint16_t>(f.size() - 2), ended.last);
  }
  return ended;
}

void ready(Bench& bench) {
  for (auto& e : bench.entries) e.flags = static_cast<std::uint8_t>(e.flags & ~wire::entry_proved);
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
}

}  // namespace

TEST_CASE("a bump rises, holds, falls and ends by itself; its impulse is as asked") {
  for (const std::int16_t level : {std::int16_t{200}, std::int16_t{-200}}) {
    Bench bench;
    ready(bench);
    REQUIRE(bench.status_of(bench.gentle_bump(6, level)) == Status::ok);  // a bridge where nothing is drawn
    std::vector<int> levels = {bench.board.levels[6]};
    while (bench.agent->state() == wire::AgentState::bumping && levels.size() < 300) {
      if (levels.size() % 10 == 0) {
        bench.hold();
      } else {
        bench.run(1);
      }
      levels.push_back(bench.board.levels[6]);
    }
    const int sign = level > 0 ? 1 : -1;
    CHECK(levels[0] * sign == 10);
    CHECK(levels[19] * sign == 200);
    CHECK(levels[50] * sign == 200);
    CHECK(levels[99] * sign == 10);
    CHECK(levels[100] == 0);
    CHECK(levels.size() == 101);
    long sum = 0;
    for (std::size_t i = 0; i < levels.size(); ++i) {
      sum += levels[i];
      if (i > 0) CHECK(std::abs(levels[i] - levels[i - 1]) <= 10);
    }
    CHECK(sum * sign == 2 * (10 + 20 * 19 / 2 * 10 - 10) + 62 * 200);
    const Ended ended = bump_ends(bench);
    CHECK(ended.count == 1);
    CHECK(ended.last.cause == static_cast<int>(StopCause::duration_over));
    CHECK(ended.last.port == 6);
    CHECK(ended.last.duration_ms == 100);
    CHECK(bench.agent->state() == wire::AgentState::permitted);
  }
}

TEST_CASE("a bump beyond the bounds for an unproved port is refused") {
  struct Case {
    const char* name;
    void (*change)(wire::Bump& b);
    wire::Bound bound;
  };
  const Case cases[] = {
      {"level", [](wire::Bump& b) { b.level_permille = 251; }, wire::Bound::level},
      {"level, other way", [](wire::Bump& b) { b.level_permille = -251; }, wire::Bound::level},
      {"level, most negative", [](wire::Bump& b) { b.level_permille = -32768; }, wire::Bound::level},
      {"duration", [](wire::Bump& b) { b.duration_ms = 201; }, wire::Bound::duration},
      {"no duration", [](wire::Bump& b) { b.duration_ms = 0; }, wire::Bound::duration},
      {"slope", [](wire::Bump& b) { b.slope_permille_per_ms = 11; }, wire::Bound::slope},
      {"no slope", [](wire::Bump& b) { b.slope_permille_per_ms = 0; }, wire::Bound::slope},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Bench bench;
    ready(bench);
    wire::Bump request = bench.gentle_bump(0, 200);
    c.change(request);
    CHECK(bench.status_of(request) == Status::out_of_bounds);
    CHECK(bench.last_detail == static_cast<int>(c.bound));
    bench.run(5);
    CHECK(bench.board.all_off());
  }
}

TEST_CASE("a proved port may be bumped within its own bounds, for two seconds at most") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  wire::Bump request = bench.gentle_bump(0, 500);
  request.duration_ms = 2001;
  CHECK(bench.status_of(request) == Status::out_of_bounds);
  request.motion = bench.next_header();
  request.duration_ms = 400;
  CHECK(bench.status_of(request) == Status::ok);
}

TEST_CASE("any sensor out of its allowance and any unexpected switch ends a bump, by whatever port it comes") {
  struct Case {
    const char* name;
    void (*happens)(agent::BenchBoard& b);
    StopCause cause;
  };
  const Case cases[] = {
      {"encoder 0 up", [](agent::BenchBoard& b) { b.counts[0] += 51; }, StopCause::travel_bound},
      {"encoder 5 down", [](agent::BenchBoard& b) { b.counts[5] -= 51; }, StopCause::travel_bound},
      {"potentiometer up", [](agent::BenchBoard& b) { b.adc[1] = static_cast<std::uint16_t>(b.adc[1] + 21); },
       StopCause::travel_bound},
      {"potentiometer down", [](agent::BenchBoard& b) { b.adc[1] = static_cast<std::uint16_t>(b.adc[1] - 21); },
       StopCause::travel_bound},
      {"top switch acts", [](agent::BenchBoard& b) { b.switches = 0xFFFD; }, StopCause::end_switch},
      {"a switch that is in no table", [](agent::BenchBoard& b) { b.switches = 0xFF7F; }, StopCause::end_switch},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Bench bench;
    ready(bench);
    REQUIRE(bench.status_of(bench.gentle_bump(2, 200)) == Status::ok);
    bench.run(20);
    REQUIRE(bench.board.levels[2] != 0);
    c.happens(bench.board);
    bench.run(1);
    CHECK(bench.board.all_off());
    const Ended ended = bump_ends(bench);
    CHECK(ended.count == 1);
    CHECK(ended.last.cause == static_cast<int>(c.cause));
    CHECK(ended.last.duration_ms == 21);
  }
}

TEST_CASE("what is allowed does not end a bump") {
  Bench bench;
  ready(bench);
  wire::Bump request = bench.gentle_bump(2, 200);
  request.allowed_switches = 0x0002;
  REQUIRE(bench.status_of(request) == Status::ok);
  bench.run(10);
  bench.board.switches = 0xFFFD;
  bench.board.counts[0] += 50;
  bench.board.adc[1] = static_cast<std::uint16_t>(bench.board.adc[1] + 20);
  bench.board.adc[6] = 0;  // no point sits on this channel
  bench.run(10);
  CHECK(bench.agent->state() == wire::AgentState::bumping);
  CHECK(bench.board.levels[2] != 0);
}

TEST_CASE("a bump needs the host's holds, ends with its stop, and is told once") {
  Bench bench;
  ready(bench);
  REQUIRE(bench.status_of(bench.gentle_bump(2, 200)) == Status::ok);
  bench.run(wire::hold_lapse_ms);
  CHECK(bench.board.all_off());
  const Ended ended = bump_ends(bench);
  CHECK(ended.count == 1);
  CHECK(ended.last.cause == static_cast<int>(StopCause::hold_lapsed));
  CHECK(bench.agent->state() == wire::AgentState::inhibited);
  bench.permit();
  REQUIRE(bench.status_of(bench.gentle_bump(2, 200)) == Status::ok);
  bench.run_held(20);
  bench.events.clear();
  bench.status_of(wire::Stop());
  CHECK(bench.board.all_off());
  const Ended stopped = bump_ends(bench);
  CHECK(stopped.count == 1);
  CHECK(stopped.last.cause == static_cast<int>(StopCause::host_stop));
}

TEST_CASE("one bump at a time, and none while something is driven") {
  Bench bench;
  ready(bench);
  REQUIRE(bench.status_of(bench.gentle_bump(2, 200)) == Status::ok);
  CHECK(bench.status_of(bench.gentle_bump(1, 200)) == Status::busy);
  CHECK(bench.drive(0, 100) == Status::busy);
  bench.run_held(120);
  REQUIRE(bench.drive(0, 100) == Status::ok);
  CHECK(bench.status_of(bench.gentle_bump(2, 200)) == Status::busy);
  CHECK(bench.status_of(bench.gentle_bump(8, 200)) == Status::busy);
  REQUIRE(bench.drive(0, 0) == Status::ok);
  CHECK(bench.status_of(bench.gentle_bump(8, 200)) == Status::no_such_port);
}
