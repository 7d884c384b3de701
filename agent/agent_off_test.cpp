// What turns outputs off, and how soon.
#include <doctest/doctest.h>

#include <functional>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;
using wire::Status;
using wire::StopCause;

namespace {

// Lift moving up at its full level, held.
void lift_moves(Bench& bench, std::int16_t level = 300) {
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  REQUIRE(bench.drive(0, level) == Status::ok);
  bench.run_held(20);
  REQUIRE(bench.board.levels[0] == level);
}

}  // namespace

TEST_CASE("host gone: outputs are off within 100 ms of its last word") {
  Bench bench;
  lift_moves(bench);
  REQUIRE(bench.hold() == Status::ok);
  const std::uint32_t last_word = bench.board.clock_us;
  for (int ms = 0; ms < 200 && !bench.board.all_off(); ++ms) bench.run(1);
  CHECK(bench.board.all_off());
  CHECK(bench.board.clock_us - last_word <= (wire::hold_lapse_ms + 1) * 1000u);
  CHECK(bench.agent->last_stop() == StopCause::hold_lapsed);
}

TEST_CASE("host gone and interrupts disabled at any moment: off within 100 ms all the same") {
  for (int held_up_after_ms = 0; held_up_after_ms < 31; ++held_up_after_ms) {
    CAPTURE(held_up_after_ms);
    Bench bench;
    lift_moves(bench);
    REQUIRE(bench.hold() == Status::ok);
    bench.run(held_up_after_ms);
    int ms = held_up_after_ms;
    for (; ms < 200 && !bench.board.all_off(); ++ms) bench.hang(1);
    CHECK(ms <= wire::off_in_time_ms);
    if (held_up_after_ms < wire::hold_lapse_ms) {
      CHECK(bench.resets == 1);
      CHECK(bench.agent->last_stop() == StopCause::watchdog);
      CHECK((bench.agent->faults() & wire::fault_watchdog) != 0);
      CHECK(bench.agent->state() == wire::AgentState::inhibited);
    }
  }
}

TEST_CASE("stop acts in the receive interrupt: no tick, whatever came before it on the line") {
  const std::vector<std::vector<std::uint8_t>> before = {
      {}, {0x00}, {0x02}, {0x02, 0x1F}, {0x02, 0x02, 0x1F, 0x05}, {0xFF, 0x11, 0x12}, {0x02, 0x1F, 0x05, 0x61, 0x1C}};
  for (std::size_t i = 0; i < before.size(); ++i) {
    CAPTURE(i);
    Bench bench;
    lift_moves(bench);
    bench.receive(before[i]);
    std::vector<std::uint8_t> stop;
    for (std::uint8_t n = 0; n < wire::stop_frame_bytes; ++n) stop.push_back(wire::stop_frame_byte(n));
    bench.receive({stop.begin(), stop.end() - 1});
    CHECK(bench.board.levels[0] == 300);
    bench.receive({stop.back()});
    CHECK(bench.board.all_off());
    CHECK(bench.board.off_modes[0] == agent::OffMode::brake);
    bench.run(1);
    CHECK(bench.agent->last_stop() == StopCause::host_stop);
    CHECK(bench.drive(0, 300) == Status::no_permission);
  }
}

TEST_CASE("a stop that comes between any two steps of the tick leaves everything off") {
  for (int after = 0; after < 40; ++after) {
    CAPTURE(after);
    Bench bench;
    REQUIRE(bench.load(bench.table()) == Status::ok);
    bench.permit();
    for (std::uint8_t port = 0; port < 3; ++port) {
      wire::Drive request;
      request.motion = bench.next_header();
      request.port = port;
      request.level_permille = port == 1 ? -300 : 300;
      bench.receive(bench.framed(wire::type_drive, request));
    }
    bool stopped = false;
    bench.board.interrupt = [&] {
      for (std::uint8_t n = 0; n < wire::stop_frame_bytes; ++n) bench.agent->on_receive_byte(wire::stop_frame_byte(n));
      CHECK(bench.board.all_off());
      stopped = true;
    };
    bench.board.interrupt_after_unlocks = after;
    for (int ms = 0; ms < 20 && !stopped; ++ms) bench.run(1);
    REQUIRE(stopped);
    CHECK(bench.board.all_off());
    bench.run(3);
    CHECK(bench.board.all_off());
    CHECK(bench.agent->last_stop() == StopCause::host_stop);
  }
}

TEST_CASE("motion that stood in the receive ring before the stop does not move") {
  Bench bench;
  lift_moves(bench);
  wire::Drive pump;
  pump.motion = bench.next_header();
  pump.port = 2;
  pump.level_permille = 500;
  bench.receive(bench.framed(wire::type_drive, pump));
  for (std::uint8_t n = 0; n < wire::stop_frame_bytes; ++n) bench.agent->on_receive_byte(wire::stop_frame_byte(n));
  pump.motion = bench.next_header();
  bench.receive(bench.framed(wire::type_drive, pump));
  bench.run(20);
  CHECK(bench.board.all_off());
}

TEST_CASE("supply below the limit turns everything off, at once and until permission is asked again") {
  Bench bench;
  lift_moves(bench);
  bench.board.adc[0] = 424;  // 8.48 V, limit 8.5 V
  bench.run(2);
  CHECK_MESSAGE(bench.board.levels[0] == 300, "one noisy reading stands for 1.7 ms");
  bench.run(1);
  CHECK(bench.board.all_off());
  CHECK(bench.agent->last_stop() == StopCause::supply_low);
  CHECK((bench.agent->faults() & wire::fault_supply_low) != 0);
  bench.permit();
  CHECK(bench.last_status == Status::inhibited);
  bench.board.adc[0] = 600;
  bench.run(1);
  bench.permit();
  CHECK(bench.last_status == Status::ok);
  CHECK_MESSAGE((bench.agent->faults() & wire::fault_supply_low) != 0, "a fault stays until it is cleared");
  bench.status_of(wire::ClearFaults());
  CHECK(bench.agent->faults() == 0);
}

TEST_CASE("bank current above its limit turns everything off and inhibits until cleared") {
  Bench bench;
  lift_moves(bench);
  bench.board.adc[3] = 701;
  bench.run(agent::bank_current_ticks);
  CHECK(bench.board.all_off());
  CHECK(bench.agent->last_stop() == StopCause::bank_current);
  bench.board.adc[3] = 0;
  bench.run(1);
  bench.permit();
  CHECK(bench.last_status == Status::faults_latched);
  bench.status_of(wire::ClearFaults());
  bench.permit();
  CHECK(bench.last_status == Status::ok);
}

TEST_CASE("an end switch stops its output in its direction only") {
  Bench bench;
  lift_moves(bench);
  bench.board.switches = static_cast<std::uint16_t>(bench.board.switches & ~2u);  // lift_top acts: pin low
  bench.run(1);
  CHECK(bench.board.levels[0] == 0);
  CHECK(bench.agent->last_stop() == StopCause::end_switch);
  CHECK(bench.agent->state() == wire::AgentState::permitted);
  CHECK(bench.drive(0, 300) == Status::end_reached);
  CHECK(bench.drive(0, -300) == Status::ok);
  bench.run_held(10);
  CHECK(bench.board.levels[0] == -300);
  bench.board.switches = 0xFFFE;  // lift_bottom
  bench.run(1);
  CHECK(bench.board.levels[0] == 0);
  CHECK(bench.drive(0, -300) == Status::end_reached);
}

TEST_CASE("the travel bound stops an output in its direction only, also where the output is reversed") {
  Bench bench;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  REQUIRE(bench.drive(1, -300) == Status::ok);  // reversed: toward high
  bench.board.adc[1] = 799;
  bench.run_held(20);
  CHECK(bench.board.levels[1] == -300);
  bench.board.adc[1] = 800;
  bench.run(1);
  CHECK(bench.board.levels[1] == 0);
  CHECK(bench.agent->last_stop() == StopCause::travel_bound);
  CHECK(bench.drive(1, -100) == Status::end_reached);
  REQUIRE(bench.drive(1, 100) == Status::ok);
  bench.board.adc[1] = 200;
  bench.run(1);
  CHECK(bench.board.levels[1] == 0);
}

TEST_CASE("a travel sensor that falls while travel rises, and an encoder counted from where permission was given") {
  Bench bench;
  bench.entries[1].travel_low = 800;
  bench.entries[1].travel_high = 200;
  wire::TableEntry encoder;
  encoder.kind = static_cast<std::uint8_t>(wire::PointKind::encoder);
  encoder.port = 4;
  encoder.flags = wire::entry_reversed;
  bench.entries.push_back(encoder);
  bench.entries[0].travel_sensor = 6;
  bench.entries[0].travel_low = -40;
  bench.entries[0].travel_high = 60;
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.board.counts[4] = 12345;
  bench.board.adc[1] = 201;
  bench.permit();
  REQUIRE(bench.drive(1, -300) == Status::ok);
  bench.board.adc[1] = 200;
  bench.run(1);
  CHECK(bench.board.levels[1] == 0);
  REQUIRE(bench.drive(0, 300) == Status::ok);
  bench.board.counts[4] = 12345 - 59;
  bench.run(1);
  CHECK(bench.board.levels[0] != 0);
  bench.board.counts[4] = 12345 - 60;
  bench.run(1);
  CHECK(bench.board.levels[0] == 0);
  CHECK(bench.drive(0, -300) == Status::ok);
}

TEST_CASE("what contradicts itself in memory halts the agent with outputs off until reset") {
  struct Damage {
    const char* what;
    std::function<void(agent::Rules&)> done;
  };
  // As a program of the team may do that writes through a wild pointer.
  const Damage damages[] = {
      {"the table is gone while outputs are on", [](agent::Rules& rules) { rules.clear(); }},
      {"an output is on beyond its bound",
       [](agent::Rules& rules) { const_cast<agent::OutputRule&>(rules.output(0)).max_level = 299; }},
      {"an output is on that is not in the table",
       [](agent::Rules& rules) { const_cast<agent::OutputRule&>(rules.output(0)).point = wire::no_point; }}};
  for (const Damage& damage : damages) {
    CAPTURE(damage.what);
    Bench bench;
    lift_moves(bench);
    damage.done(const_cast<agent::Rules&>(bench.agent->table().rules()));
    bench.run_held(1);
    CHECK(bench.board.all_off());
    CHECK(bench.agent->state() == wire::AgentState::halted);
    CHECK(bench.agent->last_stop() == StopCause::bug);
    CHECK((bench.agent->faults() & wire::fault_bug) != 0);
    bench.permit();
    CHECK(bench.last_status == Status::inhibited);
    CHECK(bench.last_detail == static_cast<int>(StopCause::bug));
    CHECK(bench.status_of(wire::ClearFaults()) == Status::inhibited);
    CHECK(bench.last_detail == static_cast<int>(StopCause::bug));
    CHECK((bench.agent->faults() & wire::fault_bug) != 0);
    bench.permit();
    CHECK(bench.last_status == Status::inhibited);
    bench.reset();
    bench.permit();
    CHECK(bench.last_status == Status::ok);
  }
}

TEST_CASE("every stop is told once, with its cause") {
  Bench bench;
  lift_moves(bench);
  bench.events.clear();
  bench.run(60);
  bench.take_frames();
  REQUIRE(bench.events.size() == 1);
  wire::StoppedEvent event;
  const auto& f = bench.events[0];
  REQUIRE(f[0] == wire::type_stopped);
  REQUIRE(wire::decode(f.data() + 2, static_cast<std::uint16_t>(f.size() - 2), event));
  CHECK(event.cause == static_cast<int>(StopCause::hold_lapsed));
  CHECK(event.port == wire::no_port);
}
