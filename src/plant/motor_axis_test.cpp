#include "plant/motor_axis.h"

#include <doctest/doctest.h>

#include <cmath>

#include "physics/step_response.h"
#include "plant/axis_testing.h"
#include "plant/chance.h"

using namespace ringout;
using plant::AxisParameters;
using plant::MotorAxis;
using plant::testing::run;
using robot::Off;

namespace {

double lost(const MotorAxis& a) {
  return a.losses().electric + a.losses().mechanical;
}

// Error of the speed after 15 ms of a 12 V step, against the closed form, in rad/s.
double error_at(double dt) {
  const AxisParameters p = plant::testing::linear_motor();
  MotorAxis axis(p, 0.0, 0.0);
  run(axis, 1.0, Off::coast, 12.0, dt, static_cast<int>(std::lround(0.015 / dt)));
  const physics::LinearMotor m = {.r = ohms(p.winding_resistance),
                                  .l = henries(p.inductance),
                                  .k = volt_seconds_per_radian(p.k),
                                  .j = kilogram_square_metres(p.rotor_inertia),
                                  .b = newton_metre_seconds(p.rotor_viscous)};
  return axis.speed() - physics::speed_after_step(m, volts(12), seconds(0.015)).si;
}

}  // namespace

// The integrator is of second order: half the step, a quarter of the error.
TEST_CASE("the motor follows its closed form with an error that falls as the square of the step") {
  const double coarse = std::abs(error_at(1e-3));
  CHECK(coarse < 0.01 * 553.0);  // 1 % of the free speed 12 V / k at the coarsest step, in the middle of the rise
  for (const double dt : {1e-3, 0.5e-3, 0.25e-3, 0.125e-3}) {
    CAPTURE(dt);
    const double ratio = error_at(dt) / error_at(0.5 * dt);
    CHECK(ratio > 3.4);
    CHECK(ratio < 4.6);
  }
}

TEST_CASE("a slipping coupling moves no load: what friction or a self-locking gear holds stays, another weight falls") {
  struct Case {
    double weight;
    bool self_locking;
    double ends;
  };
  for (const Case& c : {Case{0.10, false, 0.0}, Case{0.50, true, 0.0}, Case{0.50, false, -20.0}}) {
    for (const double duty : {0.5, -0.5}) {
      for (const double half_backlash : {0.0, 0.013}) {
        CAPTURE(c.weight);
        CAPTURE(c.self_locking);
        CAPTURE(duty);
        AxisParameters p = plant::testing::lift();
        p.coupled = false;
        p.weight_torque = c.weight;
        p.self_locking = c.self_locking;
        p.half_backlash = half_backlash;
        MotorAxis axis(p, 0.0, 0.0);
        run(axis, duty, Off::brake, 12.0, 1e-3, 3000);
        CHECK(axis.position() == c.ends);
        CHECK(axis.rotor_position() * duty > 10.0);
      }
    }
  }
}

TEST_CASE("hard stops are counted once for each arrival, pressing against one is not an arrival") {
  AxisParameters p = plant::testing::lift();
  MotorAxis axis(p, 18.0, 0.0);
  run(axis, 0.8, Off::brake, 12.0, 1e-3, 3000);
  CHECK(axis.hard_stop_hits() == 1);
  CHECK(axis.at_high_stop());
  CHECK(axis.position() == 20.0);
  CHECK(axis.speed() == 0.0);
  run(axis, 0.8, Off::brake, 12.0, 1e-3, 2000);  // pressing
  run(axis, 0.0, Off::coast, 12.0, 1e-3, 500);
  CHECK(axis.hard_stop_hits() == 1);
  run(axis, -0.5, Off::brake, 12.0, 1e-3, 200);
  CHECK(axis.hard_stop_hits() == 1);
  CHECK(!axis.at_high_stop());
  run(axis, 0.5, Off::brake, 12.0, 1e-3, 2000);
  CHECK(axis.hard_stop_hits() == 2);
  run(axis, -1.0, Off::brake, 12.0, 1e-3, 5000);
  CHECK(axis.hard_stop_hits() == 3);
  CHECK(axis.at_low_stop());
  CHECK(axis.position() == -20.0);
}

TEST_CASE("a self-locking gear holds its load without current, another one lets it down") {
  AxisParameters p = plant::testing::lift();
  p.load_friction = 0.01;
  p.self_locking = true;
  MotorAxis locked(p, 0.0, 0.0);
  run(locked, 0.0, Off::coast, 12.0, 1e-3, 5000);
  CHECK(std::abs(locked.position()) < 2.0 * p.half_backlash);
  p.self_locking = false;
  p.rotor_friction = 0.0005;
  p.cogging = 0.0;
  MotorAxis free(p, 0.0, 0.0);
  run(free, 0.0, Off::coast, 12.0, 1e-3, 5000);
  CHECK(free.at_low_stop());
  CHECK(free.hard_stop_hits() == 1);
}

TEST_CASE("the backlash is crossed before the load follows a reversal") {
  AxisParameters p = plant::testing::lift();
  p.weight_torque = 0.0;
  MotorAxis axis(p, 0.0, 0.0);
  run(axis, 0.5, Off::brake, 12.0, 1e-3, 200);
  run(axis, 0.0, Off::brake, 12.0, 1e-3, 300);
  REQUIRE(axis.speed() == 0.0);
  const double load = axis.position();
  CHECK(axis.rotor_position() / p.gear - load == doctest::Approx(p.half_backlash).epsilon(1e-6));
  for (int n = 0; n < 200 && axis.position() == load; ++n) {
    run(axis, -0.5, Off::brake, 12.0, 1e-3, 1);
  }
  CHECK(axis.position() < load);
  run(axis, -0.5, Off::brake, 12.0, 1e-3, 50);
  CHECK(axis.position() - axis.rotor_position() / p.gear == doctest::Approx(p.half_backlash).epsilon(1e-6));
}

TEST_CASE("the chopping limit holds the current of a stalled motor") {
  AxisParameters p = plant::testing::lift();
  p.jammed = true;
  p.current_limit = 3.0;
  MotorAxis axis(p, 0.0, 0.0);
  const double taken = run(axis, 1.0, Off::coast, 12.0, 1e-3, 1000);
  CHECK(axis.current() == doctest::Approx(3.0).epsilon(1e-6));
  CHECK(axis.speed() == 0.0);
  // What the supply gives is what the resistances take: I²·R, not 12 V · 3 A.
  CHECK(taken == doctest::Approx(3.0 * 3.0 * 1.43).epsilon(0.01));
}

TEST_CASE("braking stops a motor sooner than coasting") {
  const auto way_after = [](Off off) {
    AxisParameters p = plant::testing::linear_motor();
    p.rotor_friction = 0.002;
    MotorAxis axis(p, 0.0, 0.0);
    run(axis, 1.0, Off::coast, 12.0, 1e-3, 300);
    const double from = axis.position();
    run(axis, 0.0, off, 12.0, 1e-3, 5000);
    CHECK(axis.speed() == 0.0);
    CHECK(axis.current() == doctest::Approx(0.0));
    return axis.position() - from;
  };
  CHECK(way_after(Off::brake) < 0.3 * way_after(Off::coast));
}

// in = lost + stored over a run with stops, reversals through the backlash, braking, coasting and chopping.
// Tolerance: 2e-4 of what was turned over; the balance is exact but for cogging (its mean taken over the way foreseen),
// freewheeling (speed at the step's start) and rounding.
TEST_CASE("energy balances through stops, backlash, braking and coasting") {
  for (const double dt : {1e-3, 0.25e-3}) {
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
      CAPTURE(dt);
      CAPTURE(seed);
      AxisParameters p = plant::testing::lift();
      p.self_locking = seed % 3 == 0;
      if (seed % 4 == 0) p.weight_torque = 0.0;
      if (seed % 5 == 0) p.load_inertia *= 50.0;
      p.current_limit = 6.0;
      p.heat_capacity = 20.0;
      p.thermal_resistance = 5.0;
      MotorAxis axis(p, 0.0, 0.3);
      const double start = axis.stored();
      double taken = 0.0;
      double turned_over = 0.0;
      for (std::uint64_t n = 0; n < 60; ++n) {
        const double chance = plant::unit_of(plant::bits_of(seed, 1, n));
        const double duty = chance < 0.25 ? 0.0 : 2.0 * plant::unit_of(plant::bits_of(seed, 2, n)) - 1.0;
        const Off off = plant::bits_of(seed, 3, n) % 2 == 0 ? Off::coast : Off::brake;
        const double part = run(axis, duty, off, 12.0, dt, static_cast<int>(0.2 / dt));
        taken += part;
        turned_over += std::abs(part);
        const double error = taken - lost(axis) - (axis.stored() - start);
        CHECK(std::abs(error) <= 2e-4 * turned_over + 1e-6);
        CHECK(axis.position() >= p.low_stop);
        CHECK(axis.position() <= p.high_stop);
        CHECK(std::abs(axis.rotor_position() / p.gear - axis.position()) <= p.half_backlash * (1.0 + 1e-6));
      }
      CHECK(lost(axis) > 10.0);
    }
  }
}

TEST_CASE("a hot winding carries less") {
  AxisParameters p = plant::testing::lift();
  p.jammed = true;
  p.heat_capacity = 20.0;
  p.thermal_resistance = 2.0;
  MotorAxis axis(p, 0.0, 0.0);
  run(axis, 0.5, Off::coast, 12.0, 1e-3, 100);
  const double cold = axis.current();
  run(axis, 0.5, Off::coast, 12.0, 1e-3, 100000);
  const double rise = axis.winding_temperature() - 25.0;
  CHECK(rise > 15.0);
  CHECK(axis.current() == doctest::Approx(cold * 1.43 / (1.33 * (1.0 + 0.00393 * rise) + 0.1)).epsilon(0.002));
}
