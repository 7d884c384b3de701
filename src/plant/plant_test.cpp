#include "plant/plant.h"

#include <doctest/doctest.h>

#include <cmath>

#include "plant/chance.h"
#include "plant/plant_testing.h"

using namespace ringout;
using plant::DeviationKind;
using plant::Plant;
using namespace plant::testing;

TEST_CASE("a positive drive moves each motor and its encoder the way the robot file draws it") {
  Plant p(carrier(), {}, 1);
  p.command(bridge_of("drive_left"), {.duty = 0.3});
  p.command(bridge_of("drive_right"), {.duty = -0.3});  // drawn reversed, and so is its encoder
  Counter left(p, "left_encoder");
  Counter right(p, "right_encoder");
  for (int n = 0; n < 500; ++n) {
    p.step(Duration::milliseconds(1));
    left.take(p);
    right.take(p);
  }
  // 500 lines, four counts a line, 80 mm of way a radian; one per cent for the counts of the start.
  const double counts_per_metre = 2000.0 / (2.0 * pi) / 0.080;
  CHECK(motor(p, "drive_left").position > 0.02);
  CHECK(left.counts == doctest::Approx(motor(p, "drive_left").position * counts_per_metre).epsilon(0.01));
  CHECK(motor(p, "drive_right").position > 0.02);
  CHECK(right.counts == doctest::Approx(-motor(p, "drive_right").position * counts_per_metre).epsilon(0.01));
}

TEST_CASE("a motor at rest on full supply reaches its data sheet's speed within what specimens scatter") {
  Plant p(carrier(), {}, 3);
  p.command(bridge_of("belt"), {.duty = 1.0});
  run(p, 1500);
  const double free_speed = rpm(4400).si / 30.0 * 0.025;  // m/s at the roller, without load
  CHECK(motor(p, "belt").speed < 1.05 * free_speed);
  CHECK(motor(p, "belt").speed > 0.75 * free_speed);
}

TEST_CASE("edges come in time order and change one channel at a time") {
  Plant p(carrier(), {}, 1);
  for (const char* name : {"drive_left", "drive_right", "lift", "belt"}) p.command(bridge_of(name), {.duty = 0.9});
  int edges = 0;
  for (int n = 0; n < 400; ++n) {
    p.step(Duration::milliseconds(1));
    std::int64_t last = 0;
    for (const plant::Edge& e : p.edges()) {
      CHECK(e.offset.ns >= last);
      CHECK(e.offset.ns <= 1'000'000);
      last = e.offset.ns;
      ++edges;
    }
  }
  CHECK(edges > 500);
}

TEST_CASE("the same seeds give the same bits, another seed another specimen") {
  const auto fingerprint = [](std::uint64_t seed) {
    Plant p(carrier(), {}, seed);
    std::uint64_t sum = 0;
    for (int n = 0; n < 600; ++n) {
      p.command(bridge_of("drive_left"), {.duty = n < 300 ? 0.5 : -0.2, .when_off = robot::Off::brake});
      p.work_by_hand("tray_present", n % 100 > 50);
      p.step(Duration::milliseconds(1));
      for (std::uint8_t channel = 0; channel < 8; ++channel) {
        sum = plant::mixed(sum ^ static_cast<std::uint64_t>(p.adc_pin(channel).si * 1e12));
      }
      sum = plant::mixed(sum ^ static_cast<std::uint64_t>(p.edges().size()) ^ (p.switch_level(2) ? 8U : 0U));
    }
    return sum;
  };
  CHECK(fingerprint(5) == fingerprint(5));
  CHECK(fingerprint(5) != fingerprint(6));
}

// Random commands to all outputs for half a minute, with stops hit, branches tripping and the disconnect opened.
// Tolerance: 1e-4 of the energy turned over; supply charges that events shift into the next step are what remains.
TEST_CASE("energy balances over whole runs") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    CAPTURE(seed);
    Plant p(carrier(), {}, seed);
    for (std::uint64_t n = 0; n < 150; ++n) {
      const std::uint64_t bits = plant::bits_of(seed, 9, n);
      p.command(static_cast<std::uint8_t>(bits % 8),
                {.duty = (bits & 0x300) == 0 ? 0.0 : 2.0 * plant::unit_of(plant::mixed(bits)) - 1.0,
                 .when_off = (bits & 0x400) == 0 ? robot::Off::coast : robot::Off::brake});
      if (n == 100) p.open_disconnect(true);
      if (n == 105) p.open_disconnect(false);
      run(p, 200);
    }
    const plant::Truth t = p.truth();
    CHECK(t.energy_in > 200.0);
    CHECK(std::abs(t.energy_in - t.energy_lost - t.energy_stored) <= 1e-4 * t.energy_in);
    int hits = 0;
    for (const plant::MotorTruth& m : t.motors) hits += m.hard_stop_hits;
    CHECK(hits > 0);
  }
}

TEST_CASE("an end switch answers before the hard stop, and bounces") {
  plant::Deviations start;
  start.start["lift"] = 0.280;
  Plant p(carrier(), start, 1);
  const std::uint8_t top = port_of("lift_top");
  CHECK(p.switch_level(top));
  p.command(bridge_of("lift"), {.duty = 1.0, .when_off = robot::Off::brake});
  int changes = 0;
  bool last = true;
  for (int n = 0; n < 1500 && p.switch_level(top); ++n) run(p, 1);
  REQUIRE(!p.switch_level(top));
  CHECK(motor(p, "lift").hard_stop_hits == 0);
  CHECK(motor(p, "lift").position < 0.300);
  p.command(bridge_of("lift"), {.duty = 0.0, .when_off = robot::Off::brake});
  run(p, 200);
  CHECK(!p.switch_level(top));
  CHECK(motor(p, "lift").hard_stop_hits == 0);
  for (int press = 0; press < 40; ++press) {
    p.work_by_hand("tray_present", press % 2 == 0);
    for (int n = 0; n < 30; ++n) {
      run(p, 1);
      const bool level = p.switch_level(port_of("tray_present"));
      changes += level != last ? 1 : 0;
      last = level;
    }
    CHECK(last == (press % 2 != 0));  // pull-up: pressed is low
  }
  CHECK(changes > 45);  // 40 without bounce
}

TEST_CASE("pins tell the supply, the bank's current and a potentiometer's angle") {
  Plant p(carrier(), {}, 1);
  const auto mean = [&p](std::uint8_t channel) {
    double sum = 0.0;
    for (int n = 0; n < 500; ++n) {
      run(p, 1);
      sum += p.adc_pin(channel).si;
    }
    return sum / 500.0;
  };
  CHECK(mean(0) * 4.0 == doctest::Approx(p.truth().battery_volts).epsilon(0.005));
  // Sector potentiometer, 0.25 V at 0°, 4.75 V at 120°: 45° in the middle of the clamp's travel.
  CHECK(mean(1) == doctest::Approx(0.25 + 4.5 * 45.0 / 120.0).epsilon(0.002));
  CHECK(mean(3) < 0.02);
  p.command(bridge_of("drive_left"), {.duty = 1.0});
  run(p, 1000);
  const double sensed = mean(3) / 0.1;
  CHECK(sensed == doctest::Approx(motor(p, "drive_left").current).epsilon(0.15));
  p.work_by_hand("range_ahead", true);
  run(p, 100);
  const double near = mean(2);
  p.work_by_hand("range_ahead", false);
  run(p, 100);
  CHECK(near > mean(2) + 0.5);  // its voltage falls with the distance
}

TEST_CASE("the disconnect takes the supply and leaves a controller on USB alive") {
  Plant p(carrier(), {}, 1);
  p.open_disconnect(true);
  p.command(bridge_of("belt"), {.duty = 1.0});
  run(p, 1000);
  CHECK(p.adc_pin(0).si < 0.1);
  CHECK(p.controller_powered());
  CHECK(std::abs(motor(p, "belt").position) < 1e-3);
  p.open_disconnect(false);
  run(p, 500);
  CHECK(motor(p, "belt").position > 0.01);
  robot::Robot own_supply = carrier();
  own_supply.board.usb_powered = false;
  Plant q(own_supply, {}, 1);
  run(q, 10);
  CHECK(q.controller_powered());
  q.open_disconnect(true);
  run(q, 1000);
  CHECK(!q.controller_powered());
}

TEST_CASE("a tripped breaker stays open until a person pushes it in; a fuse cannot be pushed in") {
  robot::Robot weak = carrier();
  for (robot::Device& d : weak.catalogue.devices) {
    if (d.name == "breaker_30a") std::get<robot::ProtectionDevice>(d.spec).rating = amperes(0.5);
  }
  plant::Deviations jammed;
  plant::Deviation d;
  d.kind = plant::DeviationKind::jammed;
  d.points = {"belt"};
  jammed.all.push_back(d);
  Plant p(weak, jammed, 1);
  p.command(bridge_of("belt"), {.duty = 1.0});
  for (int n = 0; n < 60'000 && p.truth().tripped.empty(); ++n) run(p, 1);
  REQUIRE(p.truth().tripped == std::vector<std::string>{"main_breaker"});
  p.command(bridge_of("belt"), {.duty = 0.0});
  run(p, 30'000);
  CHECK(p.truth().tripped.size() == 1);
  CHECK(p.adc_pin(0).si < 0.1);
  const auto fuse = p.reset_breaker("fuse_deck");
  REQUIRE_FALSE(fuse);
  CHECK(fuse.error().id == "plant.not-a-breaker");
  REQUIRE_FALSE(p.reset_breaker("fuse_nowhere"));
  CHECK(p.truth().tripped.size() == 1);
  REQUIRE(p.reset_breaker("main_breaker"));
  run(p, 1000);
  CHECK(p.truth().tripped.empty());
  CHECK(p.adc_pin(0).si * 4.0 > 11.0);
}

TEST_CASE("a person sees what moved first which way, and what was on") {
  Plant p(carrier(), {}, 1);
  p.command(bridge_of("lift"), {.duty = -0.8, .when_off = robot::Off::brake});
  p.command(bridge_of("warning_lamp"), {.duty = 1.0});
  run(p, 400);
  p.command(bridge_of("lift"), {.duty = 0.8, .when_off = robot::Off::brake});
  p.command(bridge_of("warning_lamp"), {.duty = 0.0});
  run(p, 800);
  const auto seen = p.look();
  REQUIRE(seen.size() == 2);
  CHECK(seen[0].point == "lift");
  CHECK(seen[0].direction == -1);
  CHECK(seen[0].amount > 0.002);
  CHECK(seen[1].point == "warning_lamp");
  CHECK(seen[1].direction == 0);
  CHECK(seen[1].amount == doctest::Approx(0.4).epsilon(0.01));
  CHECK(p.look().size() <= 1);  // the lift may still have been on its way
}

TEST_CASE("an analogue sensor reads on the channel that the board file names, on the shaft where it is drawn") {
  const auto volts_at = [](bool on_motor_shaft, double clamp_at) {
    robot::Robot r = carrier();
    for (robot::BoardPort& port : r.board.ports) {
      if (port.name == r.input("clamp_position")->port) port.adc_channel = std::uint8_t{6};
    }
    for (robot::Output& o : r.outputs) {
      if (o.name == "clamp") o.mechanism->gear_ratio = 3.0;
    }
    for (robot::Input& i : r.inputs) {
      if (i.name == "clamp_position") i.on_motor_shaft = on_motor_shaft;
    }
    plant::Deviations start;
    start.start["clamp"] = clamp_at;
    Plant p(r, start, 1);
    double sum = 0.0;
    constexpr int readings = 200;
    for (int n = 0; n < readings; ++n) {
      run(p, 1);
      sum += p.adc_pin(6).si / readings;
    }
    return sum;
  };
  const double output_shaft = volts_at(false, 0.3) - volts_at(false, 0.1);
  CHECK(std::abs(output_shaft) > 0.05);
  CHECK(volts_at(true, 0.3) - volts_at(true, 0.1) == doctest::Approx(3.0 * output_shaft).epsilon(0.05));
}
