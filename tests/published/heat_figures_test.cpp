// Motor heat and ohmmeter readings against published figures. Marks as in motor_figures_test.cpp.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "physics/motor_heat.h"
#include "physics/resistance_readings.h"

using namespace ringout;
using namespace ringout::physics;

// G1: Portescap catalogue V012024 p. 225. Inputs and formula read; the printed result is cut off, 117.42 °C is calc
// with its α = 0.0039 /K. Ours takes 1/(234.5 + 22) = 0.003899 /K: 0.05 K.
TEST_CASE("G1: settled winding with copper feedback") {
  const MotorBodies m = {.winding_to_housing = kelvins_per_watt(6),
                         .housing_to_ambient = kelvins_per_watt(22),
                         .winding = joules_per_kelvin(1),
                         .housing = joules_per_kelvin(10),
                         .resistance = ohms(4.3),
                         .at = celsius(22)};
  const auto end = settled(m, {.current = amperes(0.76), .to_housing = {}}, celsius(22));
  REQUIRE(end.has_value());
  CHECK(std::abs((end->winding - celsius(117.42)).si) <= 0.05);
  CHECK(end->winding > celsius(100));  // above the limit of that motor: the example's point
  const double a = 0.0039;
  const double i2 = 0.76 * 0.76;
  const double formula = (22 + 28 * 4.3 * (1 - 22 * a) * i2) / (1 - a * 28 * 4.3 * i2);
  CHECK(formula == doctest::Approx(117.42).epsilon(1e-4));
}

// G2: maxon RE 25 (read-2nd) with calc: plausibility only. Printed nominal current 1.24 A; recomputed 1.2466 A with 1 +
// 0.00393·75, which takes the coefficient of 20 °C from 25 °C on. The straight line of copper has 1/259.5 there: 0.22 %
// more current, and 0.8 % above print. It does not hold for other motors (A9, A10), whose limit is another.
TEST_CASE("plausible: G2, nominal current as the one that settles at the winding's limit") {
  const MotorBodies m = {.winding_to_housing = kelvins_per_watt(3.1),
                         .housing_to_ambient = kelvins_per_watt(14),
                         .winding = heat_capacity(seconds(12.0), kelvins_per_watt(3.1)),
                         .housing = heat_capacity(seconds(612), kelvins_per_watt(14)),
                         .resistance = ohms(2.18),
                         .at = celsius(25)};
  const double i = continuous_current(m, {}, celsius(25), celsius(100)).in(amperes(1));
  CHECK(i == doctest::Approx(1.2466).epsilon(0.0025));
  CHECK(std::abs(i / 1.24 - 1.0) <= 0.008);
}

// G3: makers' time constants over thermal resistances (A1, A4 read, A8 read-2nd; quotients calc, printed to three
// figures). A form check: the maker's housing constant has the winding's mass in it.
TEST_CASE("G3: heat capacities from time constants") {
  struct Row {
    const char* name;
    double tau, rth, capacity;
  };
  for (const Row& row :
       {Row{"A1 winding", 5, 6, 0.833}, Row{"A1 housing", 190, 25, 7.6}, Row{"A4 winding", 4.2, 20, 0.21},
        Row{"A4 housing", 242, 48, 5.04}, Row{"A8 winding", 12, 3.1, 3.87}, Row{"A8 housing", 612, 14, 43.7}}) {
    CAPTURE(row.name);
    CHECK(heat_capacity(seconds(row.tau), kelvins_per_watt(row.rth)).si ==
          doctest::Approx(row.capacity).epsilon(0.001));
  }
}

// G4: elenet.net; Portescap blog 2021-07-08 (read): 63 % of the final rise after one time constant, about all of it
// after five. One body: the winding without mass, no copper feedback worth the name (all loss in the housing).
TEST_CASE("G4: shares of the final rise") {
  const MotorBodies m = {.winding_to_housing = kelvins_per_watt(0.001),
                         .housing_to_ambient = kelvins_per_watt(20),
                         .winding = joules_per_kelvin(1e-6),
                         .housing = joules_per_kelvin(10),
                         .resistance = ohms(1),
                         .at = celsius(25)};
  const HeatLoad load = {.current = {}, .to_housing = watts(2)};
  const auto rise = [&](double taus) {
    return (heated(m, all_at(celsius(25)), load, celsius(25), taus * seconds(200)).winding - celsius(25)).si / 40.0;
  };
  CHECK(std::abs(rise(1) - 0.63) <= 0.005);
  CHECK(rise(5) > 0.99);
}

// UNLV DASL wiki, rotary pendulum: fifty ohmmeter readings of one brushed motor at random rotor angles; printed mean
// 12.486 Ω (read). A meter on a still rotor reads brushes as well: the spread is five to one, and the mean is not the
// winding. Quartile and median: calc by the stated rule.
TEST_CASE("h: fifty readings of one still motor") {
  constexpr std::array<double, 50> printed = {
      7.4,  9.5,  8.5, 9.8,  9.1, 18.7, 6.4,  8.4,  11.2, 6.9,  8.3,  9.4,  15.4, 7.2,  15.3, 13.1, 11.6,
      12.1, 9.2,  7.7, 10.8, 9.1, 18.6, 11.0, 16.1, 12.1, 10.1, 8.1,  9.6,  10.0, 9.9,  16.8, 16.5, 10.3,
      17.5, 13.8, 9.9, 14.0, 8.5, 15.3, 14.2, 16.0, 29.5, 13.8, 14.3, 11.9, 31.3, 18.3, 10.9, 10.9};
  std::array<Resistance, 50> readings{};
  for (std::size_t n = 0; n < printed.size(); ++n) readings[n] = ohms(printed[n]);
  const ReadingSummary s = summary_of(readings);
  CHECK(s.mean.si == doctest::Approx(12.486).epsilon(1e-5));
  CHECK(s.least.si == doctest::Approx(6.4));
  CHECK(s.greatest.si == doctest::Approx(31.3));
  CHECK(s.lower_quartile.si == doctest::Approx(9.25));
  CHECK(s.median.si == doctest::Approx(10.95));
  CHECK(s.lower_quartile < s.median);
  CHECK(s.median < s.mean);
}
