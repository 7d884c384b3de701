#include "plant/plant.h"

#include <doctest/doctest.h>

#include <cmath>

#include "robot/testing.h"

using namespace ringout;
using plant::Plant;

namespace {

const robot::Robot& carrier() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

void run(Plant& p, int steps, Duration dt = Duration::milliseconds(1)) {
  for (int n = 0; n < steps; ++n) p.step(dt);
}

std::uint8_t bridge_of(const std::string& output) {
  return carrier().port_of(carrier().output(output)->port).index;
}
std::uint8_t port_of(const std::string& input) {
  return carrier().port_of(carrier().input(input)->port).index;
}

plant::MotorTruth motor(const Plant& p, const std::string& name) {
  for (const plant::MotorTruth& m : p.truth().motors) {
    if (m.point == name) return m;
  }
  FAIL("no motor " << name);
  return {};
}

plant::Deviations deviation(plant::Deviation d) {
  plant::Deviations all;
  all.all.push_back(std::move(d));
  return all;
}

// Counts as a controller would: channel A leading is positive.
struct Counter {
  bool a = true, b = true;
  int counts = 0;
  void take(const Plant& p, std::uint8_t encoder) {
    for (const plant::Edge& e : p.edges()) {
      if (e.encoder != encoder) continue;
      const bool forward = e.channel_b ? (e.level == a) : (e.level != b);
      (e.channel_b ? b : a) = e.level;
      counts += forward ? 1 : -1;
    }
  }
};

int counted(Plant& p, const std::string& input, int steps) {
  Counter c;
  const std::uint8_t port = port_of(input);
  c.a = p.encoder_level(port, false);
  c.b = p.encoder_level(port, true);
  for (int n = 0; n < steps; ++n) {
    p.step(Duration::milliseconds(1));
    c.take(p, port);
  }
  return c.counts;
}

}  // namespace

TEST_CASE("reversed leads turn the motor the other way") {
  Plant p(carrier(), deviation({.kind = plant::DeviationKind::leads_reversed, .points = {"belt"}}), 1);
  p.command(bridge_of("belt"), {.duty = 0.5});
  run(p, 300);
  CHECK(motor(p, "belt").position < -0.01);
}

TEST_CASE("a positive drive moves each motor and its encoder the way the robot file draws it") {
  Plant p(carrier(), {}, 1);
  p.command(bridge_of("drive_left"), {.duty = 0.3});
  p.command(bridge_of("drive_right"), {.duty = -0.3});  // drawn reversed
  const int counts = counted(p, "left_encoder", 500);
  const plant::MotorTruth left = motor(p, "drive_left");
  CHECK(left.position > 0.02);
  CHECK(motor(p, "drive_right").position > 0.02);
  // 500 lines, four counts a line, 80 mm of way a radian.
  CHECK(counts == doctest::Approx(left.position / 0.080 * 2000.0 / (2.0 * pi)).epsilon(0.01));
}
