#include "physics/limited_drive.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;

namespace {

constexpr Current no_limit = {std::numeric_limits<double>::infinity()};

// 12 V behind 0.2 ohm; 0.8 ohm of winding and driver, k = 0.02, I0 = 0.5 A: 12 A held still, 575 rad/s free.
DriveTrain by_hand() {
  return {.motor = {.winding = ohms(0.7), .k = volt_seconds_per_radian(0.02), .free_current = amperes(0.5)},
          .gear = {},
          .driver = ohms(0.1),
          .leads = {},
          .before_driver = ohms(0.2),
          .load = {}};
}
constexpr Drive full = {.source = volts(12), .duty = 1.0};

RunUp run_up(Current limit) {
  return {.u = volts(12),
          .r = ohms(1),
          .k = volt_seconds_per_radian(0.02),
          .standing = amperes(0.5),
          .viscous = {},
          .inertia = kilogram_square_metres(4e-5),
          .limit = limit};
}

}  // namespace

TEST_CASE("a driver's limit, by hand: held still, greatest power, greatest efficiency") {
  const DriveTrain t = by_hand();
  const DrivePoint stalled = point_at_speed(t, full, {}, amperes(5));
  CHECK(stalled.motor_current.si == doctest::Approx(5.0));
  CHECK(stalled.motor_torque.si == doctest::Approx(0.02 * 4.5));
  // The battery gives what 0.8 ohm and its own 0.2 ohm take: 12·x = 0.8·5² + 0.2·x², x = 1.7157 A.
  CHECK(stalled.supply_current.si == doctest::Approx(1.7157).epsilon(1e-4));
  // Unlimited the most power is at half of 11.5 A above I0: 6.25 A, 287.5 rad/s, 33.06 W. At 5 A: 7 V of back-EMF, 350
  // rad/s, and 0.09 N·m.
  CHECK(most_power(t, full, no_limit).delivered.si == doctest::Approx(33.0625));
  CHECK(most_power(t, full, amperes(7)).delivered.si == doctest::Approx(33.0625));
  CHECK(most_power(t, full, amperes(5)).delivered.si == doctest::Approx(31.5));
  CHECK(most_power(t, full, amperes(5)).motor_speed.si == doctest::Approx(350.0));
  // √(0.5·12) = 2.449 A is within 5 A; at 2 A: 10 V of 12 V, three quarters of the current for the shaft.
  CHECK(most_efficient(t, full, amperes(5)).motor_current.si == doctest::Approx(2.44949));
  CHECK(most_efficient(t, full, amperes(2)).efficiency == doctest::Approx(10.0 / 12.0 * 0.75));
  CHECK(most_power(t, full, amperes(0.4)).delivered.si == 0.0);
}

TEST_CASE("running against its load a motor takes the limit at most") {
  DriveTrain t = by_hand();
  // 0.05 N·m and 2e-4 N·m·s/rad: at 5 A, 0.09 N·m, it comes to 200 rad/s. The driver then gives 0.8·5 + 4 = 8 V.
  t.load = {.weight = {}, .friction = newton_metres(0.05), .viscous = newton_metre_seconds(2e-4)};
  const DrivePoint limited = operating_point(t, full, amperes(5));
  CHECK(limited.motor_speed.si == doctest::Approx(200.0));
  CHECK(limited.motor_current.si == doctest::Approx(5.0));
  CHECK(limited.at_driver.si * limited.supply_current.si == doctest::Approx(8.0 * 5.0));
  t.load.friction = newton_metres(0.1);
  const DrivePoint standing = operating_point(t, full, amperes(5));
  CHECK(standing.motion == Motion::still);
  CHECK(standing.motor_torque.si == doctest::Approx(0.1));
}

TEST_CASE("within the limit nothing is other than without, and beyond it the current is the limit") {
  Chance chance(7);
  int limited = 0;
  for (int n = 0; n < 2000; ++n) {
    CAPTURE(n);
    const DriveTrain t = testing::random_drive(chance).train;
    const Drive drive{.source = volts(chance.between(6, 26)), .duty = chance.between(0, 1)};
    const Current limit = amperes(chance.log_between(0.5, 50));
    const DrivePoint free = operating_point(t, drive), held = operating_point(t, drive, limit);
    if (free.motion == Motion::backward) continue;  // taken as standing
    if (free.motor_current <= limit) {
      CHECK(held.motor_speed.si == free.motor_speed.si);
      continue;
    }
    ++limited;
    CHECK(held.motor_current.si == doctest::Approx(limit.si).epsilon(1e-9));
    CHECK(held.motor_speed.si >= 0.0);
    CHECK(held.motor_speed.si <= free.motor_speed.si * (1.0 + 1e-9));
  }
  CHECK(limited > 200);
}

TEST_CASE("the time to 63 % of the speed, by hand") {
  const double share = 1.0 - std::exp(-1.0);
  // R·J/k² = 0.1 s, settled at 575 rad/s.
  CHECK(run_up_time(run_up(no_limit), share).si == doctest::Approx(0.1));
  CHECK(run_up_time(run_up(amperes(12)), share).si == doctest::Approx(0.1));
  // At 5 A: 0.09 N·m, 2250 rad/s² up to 350 rad/s in 155.56 ms; 363.47 rad/s of 575 after 0.1·ln(225/211.53) more.
  CHECK(run_up_time(run_up(amperes(5)), share).si == doctest::Approx(0.155556 + 0.0061743).epsilon(1e-4));
  // At 2 A the limit holds all the way: 363.47 rad/s at 750 rad/s².
  CHECK(run_up_time(run_up(amperes(2)), share).si == doctest::Approx(363.469 / 750.0).epsilon(1e-5));
  CHECK(std::isinf(run_up_time(run_up(amperes(0.5)), share).si));
}

TEST_CASE("a run-up in closed form is that of its equation integrated") {
  Chance chance(11);
  for (int n = 0; n < 60; ++n) {
    CAPTURE(n);
    RunUp m = run_up(amperes(chance.between(1, 15)));
    m.viscous = newton_metre_seconds(chance.coin() ? 0.0 : chance.log_between(1e-6, 3e-4));
    const Time time = run_up_time(m, 0.8);
    const auto slope = [&](const std::array<double, 1>& w) {
      const double i = std::min(m.limit.si, (m.u.si - m.k.si * w[0]) / m.r.si);
      return std::array<double, 1>{(m.k.si * (i - m.standing.si) - m.viscous.si * w[0]) / m.inertia.si};
    };
    std::array<double, 1> w{0.0};
    constexpr int steps = 4000;
    for (int k = 0; k < steps; ++k) w = testing::runge_kutta(w, time.si / steps, slope);
    const double there = w[0];
    for (int k = 0; k < 40 * steps; ++k) w = testing::runge_kutta(w, time.si / steps, slope);
    CHECK(there == doctest::Approx(0.8 * w[0]).epsilon(1e-4));
  }
}
