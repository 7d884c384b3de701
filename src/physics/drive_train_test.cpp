#include "physics/drive_train.h"

#include <doctest/doctest.h>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;
using testing::in_units;

namespace {

Drive random_source(Chance& chance) {
  return {.source = volts(chance.between(6, 26)), .duty = chance.between(-1, 1)};
}

double power_scale(const DrivePoint& p) {
  return std::abs(p.from_source.si) + p.in_resistance.si + p.in_motor_friction.si + p.in_gear.si +
         std::abs(p.delivered.si) + 1e-30;
}

double imbalance(const DrivePoint& p) {
  const Power sum = p.in_resistance + p.in_motor_friction + p.in_gear + p.delivered;
  return std::abs((p.from_source - sum).si) / power_scale(p);
}

// N·k·(I − s·I0) − e·M in N·m at the output, over the torques in it.
double unrest(const DriveTrain& t, const DrivePoint& p) {
  const int s = p.output_speed.si > 0.0 ? 1 : -1;
  const Torque load = t.load.weight + s * t.load.friction + t.load.viscous * p.output_speed;
  const Torque motor = t.gear.ratio * (t.motor.k * (p.motor_current - s * t.motor.free_current));
  const double e = load.si * s >= 0.0 ? 1.0 / t.gear.efficiency : back_efficiency(t.gear);
  return std::abs((motor - e * load).si) / (std::abs(motor.si) + std::abs(load.si) + 1e-30);
}

}  // namespace

TEST_CASE("in motion torques balance, and the powers add up to 1e-9") {
  Chance chance(1);
  int moving = 0;
  for (int n = 0; n < 4000; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const DrivePoint p = operating_point(t, random_source(chance));
    if (p.motion == Motion::still) continue;
    ++moving;
    CHECK(unrest(t, p) < 1e-9);
    CHECK(imbalance(p) < 1e-9);
    CHECK(p.in_gear.si >= 0.0);
    CHECK(p.efficiency >= 0.0);
    CHECK(p.efficiency < 1.0);
  }
  CHECK(moving > 1000);
}

TEST_CASE("what stands still is held: a little more than the torque that moves it would be needed") {
  Chance chance(2);
  int still = 0;
  for (int n = 0; n < 4000; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const DrivePoint p = operating_point(t, random_source(chance));
    if (p.motion != Motion::still) continue;
    ++still;
    for (const int s : {1, -1}) {
      const Torque load = t.load.weight + s * t.load.friction;
      const Torque motor = t.gear.ratio * (t.motor.k * (p.motor_current - s * t.motor.free_current));
      CHECK(s * (motor - gear_factor(t.gear, load, s) * load).si <= 1e-9 * std::abs(motor.si));
    }
  }
  CHECK(still > 300);
}

TEST_CASE("the supply gives duty times the motor's current") {
  DriveTrain t;
  t.motor = {.winding = ohms(1), .k = volt_seconds_per_radian(0.02), .free_current = amperes(0.1)};
  const DrivePoint stalled = point_at_speed(t, {.source = volts(12), .duty = 0.25}, {});
  CHECK(stalled.motor_current.in(amperes(1)) == doctest::Approx(3.0));
  CHECK(stalled.supply_current.in(amperes(1)) == doctest::Approx(0.75));
  CHECK((volts(12) * stalled.supply_current).in(watts(1)) == doctest::Approx(9.0));  // 3 A squared through 1 ohm
}

TEST_CASE("a gear driven backwards loses more, and from one half on it locks") {
  CHECK(back_efficiency({.ratio = 10, .efficiency = 0.8, .back_efficiency = {}}) == doctest::Approx(0.75));
  CHECK(back_efficiency({.ratio = 10, .efficiency = 0.45, .back_efficiency = {}}) == 0.0);
  CHECK(back_efficiency({.ratio = 10, .efficiency = 0.8, .back_efficiency = 0.6}) == 0.6);
  CHECK(back_efficiency({.ratio = 10, .efficiency = 1.0, .back_efficiency = {}}) == 1.0);
}

TEST_CASE("most power and best efficiency are where no neighbour has more") {
  Chance chance(3);
  for (int n = 0; n < 500; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const Drive drive = {.source = volts(12), .duty = (chance.coin() ? 1 : -1) * chance.between(0.6, 1.0)};
    const DrivePoint power = most_power(t, drive);
    const DrivePoint best = most_efficient(t, drive);
    if (power.motion == Motion::still) continue;
    for (const double by : {0.98, 1.02}) {
      CHECK(point_at_speed(t, drive, by * power.output_speed).delivered < power.delivered);
      CHECK(point_at_speed(t, drive, by * best.output_speed).efficiency <= best.efficiency + 1e-12);
    }
    CHECK(imbalance(power) < 1e-9);
    const Resistance r = total_resistance(t, drive.duty);
    const double closed = t.gear.efficiency *
                          maximum_efficiency({r, t.motor.k, t.motor.free_current}, drive.source * std::abs(drive.duty));
    if (t.motor.free_current.si > 0.0) CHECK(best.efficiency == doctest::Approx(closed).epsilon(1e-9));
  }
}

TEST_CASE("the duty for a speed gives that speed") {
  Chance chance(4);
  int found = 0;
  for (int n = 0; n < 1000; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const AngularSpeed w = chance.between(-0.8, 0.8) * (volts(12) / (t.motor.k * t.gear.ratio));
    const auto duty = duty_for(t, volts(12), w);
    if (!duty) continue;
    const DrivePoint p = operating_point(t, {.source = volts(12), .duty = *duty});
    if (back_efficiency(t.gear) == 0.0 && p.motion == Motion::still) continue;
    ++found;
    CHECK(p.output_speed.si == doctest::Approx(w.si).epsilon(1e-9));
  }
  CHECK(found > 300);
}

TEST_CASE("the point at a torque is the load's point, and at a speed its own torque") {
  Chance chance(5);
  for (int n = 0; n < 500; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const Drive drive = {.source = volts(12), .duty = 1.0};
    const DrivePoint half = most_power(t, drive);
    if (half.motion == Motion::still) continue;
    const DrivePoint again = point_at_torque(t, drive, half.output_torque);
    CHECK(again.output_speed.si == doctest::Approx(half.output_speed.si).epsilon(1e-9));
    CHECK(again.supply_current.si == doctest::Approx(half.supply_current.si).epsilon(1e-9));
  }
}

// A hidden constant with a unit would show.
TEST_CASE("counting in other base units leaves the results unchanged") {
  Chance chance(6);
  const testing::BaseUnits u = {1000.0, 39.37, 1.0 / 60.0, 0.01, 1.8, 57.2957795};
  for (int n = 0; n < 500; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const Drive drive = random_source(chance);
    const DriveTrain other = {
        .motor = {in_units(u, t.motor.winding), in_units(u, t.motor.k), in_units(u, t.motor.free_current)},
        .gear = t.gear,
        .driver = in_units(u, t.driver),
        .leads = in_units(u, t.leads),
        .before_driver = in_units(u, t.before_driver),
        .load = {in_units(u, t.load.weight), in_units(u, t.load.friction), in_units(u, t.load.viscous)}};
    const DrivePoint a = operating_point(t, drive);
    const DrivePoint b = operating_point(other, {.source = in_units(u, drive.source), .duty = drive.duty});
    CHECK(a.motion == b.motion);
    CHECK(in_units(u, a.output_speed).si == doctest::Approx(b.output_speed.si).epsilon(1e-9));
    CHECK(in_units(u, a.supply_current).si == doctest::Approx(b.supply_current.si).epsilon(1e-9));
    CHECK(in_units(u, a.in_gear).si == doctest::Approx(b.in_gear.si).epsilon(1e-9));
    CHECK(a.efficiency == doctest::Approx(b.efficiency).epsilon(1e-9));
  }
}
