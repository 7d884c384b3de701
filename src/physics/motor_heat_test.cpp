#include "physics/motor_heat.h"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;

namespace {

MotorBodies small_motor() {
  return {.winding_to_housing = kelvins_per_watt(3.1),
          .housing_to_ambient = kelvins_per_watt(14),
          .winding = joules_per_kelvin(3.87),
          .housing = joules_per_kelvin(43.7),
          .resistance = ohms(2.18),
          .at = celsius(25)};
}

MotorBodies random_motor(Chance& chance) {
  return {.winding_to_housing = kelvins_per_watt(chance.log_between(0.5, 20)),
          .housing_to_ambient = kelvins_per_watt(chance.log_between(2, 50)),
          .winding = joules_per_kelvin(chance.log_between(0.2, 20)),
          .housing = joules_per_kelvin(chance.log_between(5, 300)),
          .resistance = ohms(chance.log_between(0.1, 20)),
          .at = celsius(22)};
}

// The two equations as they stand in the header, stepped.
BodyTemperatures stepped(const MotorBodies& m, BodyTemperatures from, HeatLoad load, Temperature ambient, Time t) {
  const auto slope = [&](const std::array<double, 2>& y) {
    const double r = m.resistance.si * (y[0] - 38.65) / (m.at.si - 38.65);
    const double inward = (y[0] - y[1]) / m.winding_to_housing.si;
    const double outward = (y[1] - ambient.si) / m.housing_to_ambient.si;
    return std::array<double, 2>{(load.current.si * load.current.si * r - inward) / m.winding.si,
                                 (load.to_housing.si + inward - outward) / m.housing.si};
  };
  std::array<double, 2> y = {from.winding.si, from.housing.si};
  for (int n = 0; n < 4000; ++n) y = testing::runge_kutta(y, t.si / 4000, slope);
  return {kelvins(y[0]), kelvins(y[1])};
}

}  // namespace

TEST_CASE("one step of any length agrees with many small ones") {
  Chance chance(31);
  for (int n = 0; n < 100; ++n) {
    CAPTURE(n);
    const MotorBodies m = random_motor(chance);
    const HeatLoad load = {.current = {std::sqrt(chance.between(0, 20) / m.resistance.si)},
                           .to_housing = watts(chance.between(0, 3))};
    const BodyTemperatures from = {celsius(chance.between(0, 120)), celsius(chance.between(0, 80))};
    const Time t = chance.log_between(0.05, 5.0) * (m.winding * m.winding_to_housing);
    const BodyTemperatures exact = heated(m, from, load, celsius(25), t);
    const BodyTemperatures small = stepped(m, from, load, celsius(25), t);
    CHECK(exact.winding.si == doctest::Approx(small.winding.si).epsilon(1e-9));
    CHECK(exact.housing.si == doctest::Approx(small.housing.si).epsilon(1e-9));
  }
}

TEST_CASE("settled: no slope left, and the long run comes to it, or there is none and it runs away") {
  Chance chance(32);
  int ran_away = 0;
  for (int n = 0; n < 500; ++n) {
    CAPTURE(n);
    const MotorBodies m = random_motor(chance);
    const HeatLoad load = {.current = {std::sqrt(chance.log_between(0.1, 60) / m.resistance.si)},
                           .to_housing = watts(chance.between(0, 3))};
    const auto end = settled(m, load, celsius(25));
    const Time slowest = m.housing * m.housing_to_ambient + m.winding * m.winding_to_housing;
    if (!end) {
      ++ran_away;
      const Time reached = time_to(m, all_at(celsius(25)), load, celsius(25), celsius(1000));
      CHECK(std::isfinite(reached.si));
      continue;
    }
    const BodyTemperatures on = heated(m, *end, load, celsius(25), slowest);
    CHECK(on.winding.si == doctest::Approx(end->winding.si).epsilon(1e-9));
    CHECK(on.housing.si == doctest::Approx(end->housing.si).epsilon(1e-9));
    // Power in is power out.
    const double r = m.resistance.si * (end->winding.si - 38.65) / (m.at.si - 38.65);
    const double out = (end->housing - celsius(25)).si / m.housing_to_ambient.si;
    CHECK(out == doctest::Approx(load.current.si * load.current.si * r + load.to_housing.si).epsilon(1e-9));
  }
  CHECK(ran_away > 30);
}

TEST_CASE("the continuous current settles at the limit") {
  const MotorBodies m = small_motor();
  const Current i = continuous_current(m, watts(0.4), celsius(25), celsius(100));
  const auto end = settled(m, {.current = i, .to_housing = watts(0.4)}, celsius(25));
  REQUIRE(end.has_value());
  CHECK(end->winding.si == doctest::Approx(celsius(100).si).epsilon(1e-12));
  CHECK(continuous_current(m, watts(20), celsius(25), celsius(100)).si == 0.0);
}

TEST_CASE("time to the limit: cold, warm, already there, never") {
  const MotorBodies m = small_motor();
  const HeatLoad stall = {.current = amperes(5.5), .to_housing = {}};
  const Time cold = time_to(m, all_at(celsius(25)), stall, celsius(25), celsius(100));
  const Time warm = time_to(m, {celsius(80), celsius(70)}, stall, celsius(25), celsius(100));
  CHECK(warm < cold);
  CHECK(heated(m, all_at(celsius(25)), stall, celsius(25), cold).winding.si == doctest::Approx(celsius(100).si));
  // Nearly no heat leaves the winding in that time: C·ΔT over the loss, which grows from R to 1.29·R on the way.
  CHECK(cold.si > 3.87 * 75 / (5.5 * 5.5 * 2.18 * 1.29));
  CHECK(cold.si < 1.5 * 3.87 * 75 / (5.5 * 5.5 * 2.18));
  CHECK(time_to(m, all_at(celsius(120)), stall, celsius(25), celsius(100)).si == 0.0);
  CHECK(std::isinf(time_to(m, all_at(celsius(25)), {amperes(1), {}}, celsius(25), celsius(100)).si));
  // Cooling into the housing first, then up again.
  const HeatLoad mild = {.current = amperes(1.4), .to_housing = {}};
  const Time after_a_dip = time_to(m, {celsius(95), celsius(40)}, mild, celsius(25), celsius(100));
  CHECK(std::isfinite(after_a_dip.si));
  const BodyTemperatures there = heated(m, {celsius(95), celsius(40)}, mild, celsius(25), after_a_dip);
  CHECK(there.winding.si == doctest::Approx(celsius(100).si).epsilon(1e-9));
  CHECK(heated(m, {celsius(95), celsius(40)}, mild, celsius(25), 0.1 * after_a_dip).winding < celsius(95));
}

TEST_CASE("the settled cycle repeats itself, and many cycles from cold come to it") {
  Chance chance(33);
  for (int n = 0; n < 60; ++n) {
    CAPTURE(n);
    const MotorBodies m = random_motor(chance);
    const double power = chance.between(1, 8);
    const std::vector<HeatStep> cycle = {
        {{{std::sqrt(power / m.resistance.si)}, watts(0.5)}, seconds(chance.log_between(1, 60))},
        {{{0.3 * std::sqrt(power / m.resistance.si)}, watts(0.2)}, seconds(chance.log_between(1, 60))},
        {{}, seconds(chance.log_between(1, 60))}};
    const auto heat = settled_cycle(m, cycle, celsius(20));
    if (!heat) continue;
    CHECK(heat->end.winding.si == doctest::Approx(heat->start.winding.si).epsilon(1e-10));
    CHECK(heat->end.housing.si == doctest::Approx(heat->start.housing.si).epsilon(1e-10));
    CHECK(heat->hottest >= heat->start.winding);
    const CycleHeat late = run_cycles(m, all_at(celsius(20)), cycle, celsius(20), 20000);
    CHECK(late.hottest.si == doctest::Approx(heat->hottest.si).epsilon(1e-4));
    const CycleHeat tenth = run_cycles(m, all_at(celsius(20)), cycle, celsius(20), 10);
    CHECK(tenth.hottest <= heat->hottest + kelvins(1e-9));
  }
}

TEST_CASE("the moment at which a repeated cycle reaches the limit") {
  const MotorBodies m = small_motor();
  const std::vector<HeatStep> cycle = {{{amperes(3), watts(0.3)}, seconds(8)}, {{}, seconds(12)}};
  const Time at = time_to(m, all_at(celsius(25)), cycle, celsius(25), celsius(100));
  REQUIRE(std::isfinite(at.si));
  const int whole = static_cast<int>(at.si / 20.0);
  const CycleHeat before = run_cycles(m, all_at(celsius(25)), cycle, celsius(25), whole);
  CHECK(before.hottest < celsius(100));
  CHECK(run_cycle(m, before.end, cycle, celsius(25)).hottest >= celsius(100));
  // The same in steps of a few milliseconds: tens of thousands of cycles, passed over at once.
  const std::vector<HeatStep> quick = {{{amperes(3), watts(0.3)}, milliseconds(8)}, {{}, milliseconds(12)}};
  const Time soon = time_to(m, all_at(celsius(25)), quick, celsius(25), celsius(70));
  REQUIRE(std::isfinite(soon.si));
  const int many = static_cast<int>(soon.si / 0.02);
  const CycleHeat last = run_cycles(m, all_at(celsius(25)), quick, celsius(25), many);
  CHECK(last.hottest < celsius(70));
  CHECK(run_cycle(m, run_cycle(m, last.end, quick, celsius(25)).end, quick, celsius(25)).hottest >= celsius(70));
  const std::vector<HeatStep> mild = {{{amperes(1), watts(0.1)}, seconds(8)}, {{}, seconds(12)}};
  CHECK(std::isinf(time_to(m, all_at(celsius(25)), mild, celsius(25), celsius(100)).si));
}

TEST_CASE("allowed duty: the hottest winding of the settled cycle is at the limit") {
  const MotorBodies m = small_motor();
  const HeatLoad on = {.current = amperes(2.5), .to_housing = watts(0.3)};
  const double share = allowed_duty(m, on, {}, seconds(20), celsius(25), celsius(100));
  REQUIRE(share > 0.0);
  REQUIRE(share < 1.0);
  const HeatStep cycle[] = {{on, share * seconds(20)}, {{}, (1 - share) * seconds(20)}};
  CHECK(settled_cycle(m, cycle, celsius(25))->hottest.si == doctest::Approx(celsius(100).si).epsilon(1e-9));
  // For a period that is short against the winding, duty is the ratio of mean losses.
  const double fine = allowed_duty(m, {amperes(2.5), {}}, {}, milliseconds(10), celsius(25), celsius(100));
  const Current steady = continuous_current(m, {}, celsius(25), celsius(100));
  CHECK(fine == doctest::Approx((steady / amperes(2.5)) * (steady / amperes(2.5))).epsilon(1e-3));
  CHECK(share < fine);
  CHECK(allowed_duty(m, {amperes(1), {}}, {}, seconds(20), celsius(25), celsius(100)) == 1.0);
  CHECK(allowed_duty(m, on, {{}, watts(10)}, seconds(20), celsius(25), celsius(100)) == 0.0);
  // A stall that is too long from cold is not allowed at any share.
  const HeatStep stall[] = {{{amperes(5.5), {}}, seconds(60)}};
  CHECK(allowed_share(m, stall, {}, celsius(25), celsius(100)) == 0.0);
  const HeatStep hard[] = {{on, seconds(10)}};
  const double with_rest = allowed_share(m, hard, {}, celsius(25), celsius(100));
  const HeatStep rested[] = {{on, seconds(10)}, {{}, seconds(10 / with_rest - 10)}};
  CHECK(settled_cycle(m, rested, celsius(25))->hottest.si == doctest::Approx(celsius(100).si).epsilon(1e-8));
}
