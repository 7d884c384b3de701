#include "physics/drive_motion.h"

#include <doctest/doctest.h>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;
using testing::in_units;

namespace {

using State = std::array<double, 2>;  // speed, angle

// The equation of motion written out a second time, in the plain frame: acceleration at a speed in direction s.
double acceleration(const MovingDrive& m, double w, double s, double volts_at_motor, double resistance) {
  const DriveTrain& t = m.train;
  const double n = t.gear.ratio;
  const double k = n * t.motor.k.si;
  const double current = resistance > 0.0 ? (volts_at_motor - k * w) / resistance : 0.0;
  const double motor = k * (current - s * t.motor.free_current.si);
  const double load = t.load.weight.si + s * t.load.friction.si + t.load.viscous.si * w;
  const double rotor = n * n * m.rotor.si;
  double e = 1.0 / t.gear.efficiency;
  // What the gear passes on with e = 1 has the sign that it has with any e.
  const double passed = load + m.load.si * (motor - load) / (rotor + m.load.si);
  if (passed * s < 0.0) e = back_efficiency(t.gear);
  return (motor - e * load) / (rotor + e * m.load.si);
}

State integrate(const MovingDrive& m, double from, double s, double u, double r, double time, int steps = 20000) {
  State y = {from, 0.0};
  const auto slope = [&](const State& at) { return State{acceleration(m, at[0], s, u, r), at[0]}; };
  for (int n = 0; n < steps; ++n) y = testing::runge_kutta(y, time / steps, slope);
  return y;
}

MovingDrive lift() {
  MovingDrive m;
  m.train.motor = {.winding = ohms(0.8), .k = volt_seconds_per_radian(0.02), .free_current = amperes(0.3)};
  m.train.gear = {.ratio = 50, .efficiency = 0.8, .back_efficiency = {}};
  m.train.driver = ohms(0.15);
  m.train.leads = ohms(0.05);
  m.train.load = {.weight = newton_metres(2.0), .friction = newton_metres(0.2), .viscous = {}};
  m.rotor = kilogram_square_metres(5e-6);
  m.load = kilogram_square_metres(0.01);
  return m;
}

}  // namespace

TEST_CASE("starting agrees with a step-by-step integration") {
  Chance chance(11);
  int started = 0;
  for (int n = 0; n < 150; ++n) {
    CAPTURE(n);
    const MovingDrive m = testing::random_drive(chance);
    const Drive drive = {.source = volts(12), .duty = (chance.coin() ? 1 : -1) * chance.between(0.3, 1.0)};
    const double fraction = chance.between(0.3, 0.97);
    const auto run = start_up(m, drive, fraction);
    const DrivePoint settled = operating_point(m.train, drive);
    CHECK(run.has_value() == (settled.motion != Motion::still));
    if (!run) continue;
    ++started;
    CHECK(run->ended.si == doctest::Approx(fraction * settled.output_speed.si).epsilon(1e-9));
    const double s = run->ended.si > 0.0 ? 1.0 : -1.0;
    const State end = integrate(m, 0.0, s, drive.source.si * drive.duty, total_resistance(m.train, drive.duty).si,
                                run->time.si, 2000);
    CHECK(end[0] == doctest::Approx(run->ended.si).epsilon(1e-5));
    CHECK(end[1] == doctest::Approx(run->angle.si).epsilon(1e-5));
    const Run same = after(m, drive, run->time);
    CHECK(same.ended.si == doctest::Approx(run->ended.si).epsilon(1e-9));
    CHECK(same.angle.si == doctest::Approx(run->angle.si).epsilon(1e-9));
  }
  CHECK(started > 60);
}

TEST_CASE("stopping agrees with a step-by-step integration") {
  Chance chance(12);
  int stopped = 0;
  for (int n = 0; n < 150; ++n) {
    CAPTURE(n);
    const MovingDrive m = testing::random_drive(chance);
    const AngularSpeed from = chance.between(-0.9, 0.9) * (volts(12) / (m.train.motor.k * m.train.gear.ratio));
    const Unpowered how = chance.coin() ? Unpowered::coast : Unpowered::brake;
    const auto run = stop(m, from, how);
    if (!run) continue;
    ++stopped;
    const double s = from.si > 0.0 ? 1.0 : -1.0;
    const double r = how == Unpowered::brake ? total_resistance(m.train, 0.0).si : 0.0;
    const State end = integrate(m, from.si, s, 0.0, r, run->time.si, 2000);
    CHECK(std::abs(end[0]) < 2e-5 * std::abs(from.si));
    CHECK(end[1] == doctest::Approx(run->angle.si).epsilon(1e-5));
  }
  CHECK(stopped > 80);
}

TEST_CASE("a coast against friction alone is v²/(2a)") {
  MovingDrive m = lift();
  m.train.load.weight = {};
  m.train.gear.efficiency = 1.0;
  const double mass = 50 * 50 * 5e-6 + 0.01;
  const double decelerating = (0.2 + 50 * 0.02 * 0.3) / mass;
  const auto run = stop(m, radians_per_second(6), Unpowered::coast);
  REQUIRE(run.has_value());
  CHECK(run->time.si == doctest::Approx(6.0 / decelerating));
  CHECK(run->angle.si == doctest::Approx(18.0 / decelerating));
  const auto braked = stop(m, radians_per_second(6), Unpowered::brake);
  REQUIRE(braked.has_value());
  CHECK(braked->angle < run->angle);
  CHECK(braking_current(m.train, radians_per_second(6)).in(amperes(1)) == doctest::Approx(-6.0));
}

TEST_CASE("a lift: what holds it, what raises it, how fast it falls") {
  const MovingDrive m = lift();
  const LiftFigures l = lift_figures(m.train);
  // Back-driven efficiency 2 − 1/0.8 = 0.75: (0.75·1.8)/(50·0.02) − 0.3 = 1.05 A; raised: 2.2/(0.8·1) + 0.3 = 3.05 A.
  CHECK(l.lets_go_below.in(amperes(1)) == doctest::Approx(1.05));
  CHECK(l.frictionless.in(amperes(1)) == doctest::Approx(2.0));
  CHECK(l.rises_above.in(amperes(1)) == doctest::Approx(3.05));
  CHECK(l.when_cut == WhenCut::falls);
  CHECK(!l.fall_coasting.has_value());
  CHECK(l.fall_braked.in(radians_per_second(1)) == doctest::Approx(-1.05));  // 1.05 N·m over (1 V·s)²/1 Ω
  CHECK(!stop(m, radians_per_second(-1), Unpowered::coast).has_value());
  // Just beyond each limit it moves, between them it stands.
  const auto motion_at = [&](double amps) {
    return operating_point(m.train, {.source = volts(12), .duty = amps * 1.0 / 12.0}).motion;
  };
  CHECK(motion_at(3.06) == Motion::forward);
  CHECK(motion_at(3.04) == Motion::still);
  CHECK(motion_at(1.06) == Motion::still);
  CHECK(motion_at(1.04) == Motion::backward);
}

TEST_CASE("a worm that locks in itself does not fall") {
  MovingDrive worm = lift();
  worm.train.gear.efficiency = 0.45;
  CHECK(lift_figures(worm.train).when_cut == WhenCut::stays);
  CHECK(lift_figures(worm.train).lets_go_below.si == 0.0);
}

TEST_CASE("random lifts: fall speeds are where the torques balance") {
  Chance chance(13);
  int falling = 0;
  for (int n = 0; n < 2000; ++n) {
    CAPTURE(n);
    const MovingDrive m = testing::random_drive(chance);
    const LiftFigures l = lift_figures(m.train);
    CHECK(std::abs(l.lets_go_below.si) <= std::abs(l.rises_above.si));
    if (l.when_cut == WhenCut::stays) continue;
    ++falling;
    const double s = l.fall_braked.si > 0.0 ? 1.0 : -1.0;
    CHECK(s * m.train.load.weight.si < 0.0);
    const double r = total_resistance(m.train, 0.0).si;
    const double at_rest = std::abs(acceleration(m, s * 1e-9, s, 0.0, r));
    CHECK(std::abs(acceleration(m, l.fall_braked.si, s, 0.0, r)) < 1e-6 * at_rest);
    if (l.fall_coasting) CHECK(std::abs(acceleration(m, l.fall_coasting->si, s, 0.0, 0.0)) < 1e-6 * at_rest);
  }
  CHECK(falling > 300);
}

TEST_CASE("counting in other base units leaves start and stop unchanged") {
  const testing::BaseUnits u = {1000.0, 39.37, 1.0 / 60.0, 0.01, 1.8, 57.2957795};
  const MovingDrive m = lift();
  const DriveTrain& t = m.train;
  const MovingDrive other = {
      .train = {.motor = {in_units(u, t.motor.winding), in_units(u, t.motor.k), in_units(u, t.motor.free_current)},
                .gear = t.gear,
                .driver = in_units(u, t.driver),
                .leads = in_units(u, t.leads),
                .before_driver = in_units(u, t.before_driver),
                .load = {in_units(u, t.load.weight), in_units(u, t.load.friction), in_units(u, t.load.viscous)}},
      .rotor = in_units(u, m.rotor),
      .load = in_units(u, m.load)};
  const auto a = start_up(m, {.source = volts(12), .duty = 1.0}, 0.9);
  const auto b = start_up(other, {.source = in_units(u, volts(12)), .duty = 1.0}, 0.9);
  REQUIRE(a.has_value());
  REQUIRE(b.has_value());
  CHECK(in_units(u, a->time).si == doctest::Approx(b->time.si).epsilon(1e-9));
  CHECK(in_units(u, a->angle).si == doctest::Approx(b->angle.si).epsilon(1e-9));
}
