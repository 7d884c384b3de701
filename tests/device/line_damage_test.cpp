// A bad serial line for a simulated hour: nothing moves that the host did not ask for at that moment, nothing crashes,
// and once the line is good again a session works at once.
#include <doctest/doctest.h>

#include <cstdio>
#include <random>

#include "agent_line.h"
#include "link/client.h"
#include "link/flaky_stream.h"
#include "motion_watch.h"

namespace ringout::device_tests {
namespace {

constexpr Duration ms(std::int64_t n) {
  return Duration::milliseconds(n);
}

// A host that drives, bumps, changes its mind and stops, at random, and takes errors as they come.
class RestlessHost {
 public:
  RestlessHost(link::TimedStream& stream, MotionWatch& watch, std::uint64_t seed)
      : client_(stream, seed, {.hello = ms(1000)}), watch_(watch), random_(seed) {
    client_.on_intent = [this](const link::Intent& intent) { watch_.intent(intent); };
  }

  void act() {
    if (!open_) {
      open_ = client_.hello().has_value();
      if (open_) ++hellos_;
      return;
    }
    const bool fine = random_() % 5 == 0 ? ask_something() : move_something();
    if (!fine && ++failures_in_a_row_ < 4) return;
    open_ = fine;
    failures_in_a_row_ = 0;
  }

  [[nodiscard]] link::Client& client() { return client_; }
  [[nodiscard]] int motions() const { return motions_; }
  [[nodiscard]] int hellos() const { return hellos_; }

 private:
  bool ask_something() { return random_() % 2 == 0 ? client_.status().has_value() : client_.read_table().has_value(); }

  bool move_something() {
    auto permission = client_.permit({});
    if (!permission) return false;
    const bool moved = random_() % 2 == 0 ? bump(*permission) : drive(*permission);
    if (moved) ++motions_;
    // Whatever ended it: from here on the host wants nothing. Half the time it just lets go and says nothing more.
    if (random_() % 2 == 0) return permission->release().has_value();
    return moved;
  }

  bool drive(link::Permission& permission) {
    for (int change = 0; change < 3; ++change) {
      const int level = static_cast<int>(random_() % 1200) - 600;
      if (!permission.drive(static_cast<int>(random_() % 2), level)) return false;
      if (!permission.wait_until(client_.now() + ms(static_cast<std::int64_t>(20 + random_() % 150)))) return false;
    }
    return true;
  }

  bool bump(link::Permission& permission) {
    wire::Bump order;
    order.port = static_cast<std::uint8_t>(random_() % 2);
    order.level_permille = static_cast<std::int16_t>(random_() % 400) - 200;
    order.slope_permille_per_ms = 10;
    order.duration_ms = static_cast<std::uint16_t>(40 + random_() % 120);
    order.encoder_allowance = 100;
    order.analogue_allowance = 50;
    return permission.bump(order).has_value();
  }

  link::Client client_;
  MotionWatch& watch_;
  std::mt19937_64 random_;
  bool open_ = false;
  int failures_in_a_row_ = 0;
  int motions_ = 0;
  int hellos_ = 0;
};

struct HourResult {
  std::uint64_t damaged = 0;
  std::uint64_t moving_ms = 0;
  int motions = 0;
};

HourResult run_on_line(link::LineDamage damage, double replay_chance, Duration length, std::uint64_t seed) {
  AgentLine line(seed);
  REQUIRE(line.bench.load(line.bench.table()) == wire::Status::ok);
  link::FlakyStream flaky(line, damage, seed);
  MotionWatch watch(damage.drop > 0.0 ? MotionWatch::Line::loses_frames : MotionWatch::Line::whole);
  line.each_tick = [&](Instant at) { watch.applied(at, line.bench.board.levels); };
  line.replay_chance = replay_chance;
  RestlessHost host(flaky, watch, seed);
  while (line.now() < Instant{} + length) host.act();
  for (std::size_t i = 0; i < watch.unasked().size() && i < 5; ++i) MESSAGE(watch.unasked()[i]);
  CHECK(watch.unasked().empty());
  MESSAGE("moved for " << watch.moving_ms() << " ms in " << host.motions() << " motions, " << host.hellos()
                       << " hellos, " << flaky.damaged_bytes() << " bytes damaged, longest tail "
                       << watch.longest_tail().in_milliseconds() << " ms");

  // The line heals: an ordinary session works at once.
  flaky.set_damage({});
  line.replay_chance = 0.0;
  static_cast<void>(host.client().run_until(line.now() + ms(100)));  // a lost permission may still be reported here
  const auto controller = host.client().hello();
  REQUIRE(controller);
  CHECK(controller->table_state == wire::TableState::valid);
  auto permission = host.client().permit({});
  REQUIRE(permission);
  CHECK(permission->drive(0, 300));
  CHECK(permission->wait_until(line.now() + ms(200)));
  CHECK(line.bench.board.levels[0] == 300);
  CHECK(permission->release());
  CHECK(line.bench.board.all_off());
  return {.damaged = flaky.damaged_bytes(), .moving_ms = watch.moving_ms(), .motions = host.motions()};
}

TEST_CASE("the watch itself finds motion that nobody asked for") {
  MotionWatch watch;
  const std::vector<std::int16_t> moving = {0, 250};
  const std::vector<std::int16_t> still = {0, 0};
  watch.applied(Instant{}, still);
  CHECK(watch.unasked().empty());
  watch.intent({.at = Instant{}, .type = wire::type_drive, .port = 1, .level_permille = 250});
  watch.applied(Instant{} + ms(1), moving);
  CHECK(watch.unasked().empty());
  SUBCASE("after a stop and its tail") {
    watch.intent({.at = Instant{} + ms(10), .type = wire::type_stop});
    watch.applied(Instant{} + ms(10) + MotionWatch::tail, moving);
    CHECK(watch.unasked().empty());
    watch.applied(Instant{} + ms(11) + MotionWatch::tail, moving);
    CHECK(watch.unasked().size() == 1);
  }
  SUBCASE("after another level has replaced it") {
    watch.intent({.at = Instant{} + ms(10), .type = wire::type_drive, .port = 1, .level_permille = 100});
    watch.applied(Instant{} + ms(10) + MotionWatch::tail, moving);
    CHECK(watch.unasked().empty());
    watch.applied(Instant{} + ms(11) + MotionWatch::tail, moving);
    CHECK(watch.unasked().size() == 1);
  }
  SUBCASE("another port, the other way, or more than was asked for") {
    for (const std::vector<std::int16_t>& levels : {std::vector<std::int16_t>{250, 0}, {0, -250}, {0, 260}}) {
      watch.applied(Instant{} + ms(2), levels);
    }
    CHECK(watch.unasked().size() == 3);
  }
}

TEST_CASE("a good line: what is asked for moves") {
  const HourResult result = run_on_line({}, 0.0, ms(60'000), 1);
  CHECK(result.motions > 60);
}

TEST_CASE("whole frames that come again, late, move nothing") {
  run_on_line({}, 0.3, ms(300'000), 2);
}

TEST_CASE("a simulated hour of a line that damages one byte in a hundred in each of five ways") {
  const HourResult result = run_on_line(link::LineDamage::of_each(0.01), 0.02, ms(3'600'000), 3);
  CHECK(result.damaged > 50'000);
  CHECK(result.moving_ms > 60'000);
}

TEST_CASE("lines of other qualities, five simulated minutes each") {
  for (const double rate : {0.0005, 0.003, 0.03}) {
    CAPTURE(rate);
    const HourResult result = run_on_line(link::LineDamage::of_each(rate), 0.02, ms(300'000), 4);
    // At the worst rate hardly a frame arrives whole, so nothing is to be expected but safety.
    CHECK((result.moving_ms > 60'000 || rate > 0.02));
  }
}

}  // namespace
}  // namespace ringout::device_tests
