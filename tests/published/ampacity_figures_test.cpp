// What wires may carry and how warm they get, against published tables. Marks as in
// motor_figures_test.cpp.
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <optional>

#include "physics/ampacity.h"
#include "physics/wire.h"
#include "physics/wire_heat.h"

using namespace ringout;
using namespace ringout::physics;

// c5, read: FAA AC 43.13-1B Table 11-9, p. 11-23 (105/150/200 °C); MIL-W-5088B free-air column (Adaptive Power Systems
// 42L p. 67); chassis and transmission (Handbook of Electronic Tables and Formulas, reprint). 0: not in that table. As
// printed.
TEST_CASE("c5: guidance tables as printed") {
  struct Row {
    int awg;
    std::array<double, 6> amps;
  };
  const Row rows[] = {
      {24, {2.5, 4, 5, 0, 3.5, 0.577}}, {22, {3, 5, 6, 5.0, 7, 0.92}},  {20, {4, 7, 9, 8.33, 11, 1.5}},
      {18, {6, 9, 12, 15.4, 16, 2.3}},  {16, {7, 11, 14, 0, 22, 3.7}},  {14, {10, 14, 18, 31.2, 32, 5.9}},
      {12, {13, 19, 25, 40, 41, 9.3}},  {10, {17, 26, 32, 55, 55, 15}}, {8, {38, 57, 71, 75, 0, 0}},
      {26, {0, 0, 0, 0, 2.2, 0.361}},   {28, {0, 0, 0, 0, 1.4, 0.226}}, {30, {0, 0, 0, 0, 0.86, 0.142}}};
  for (const Row& row : rows) {
    for (std::size_t n = 0; n < row.amps.size(); ++n) {
      CAPTURE(row.awg);
      CAPTURE(n);
      const auto i = ampacity(static_cast<AmpacityTable>(n), row.awg);
      CHECK(i.has_value() == (row.amps[n] > 0));
      if (i) CHECK(i->in(amperes(1)) == row.amps[n]);
    }
  }
}

// The second column of that handbook is the rule of 700 circular mil per ampere (read). Its figures are rounded to two
// or three places: 3 %.
TEST_CASE("c5: the transmission column follows its rule") {
  const Area circular_mil = {pi / 4 * 25.4e-6 * 25.4e-6};
  for (int awg = 10; awg <= 30; awg += 2) {
    CAPTURE(awg);
    const double rule = awg_area(awg) / circular_mil / 700.0;
    CHECK(std::abs(ampacity(AmpacityTable::transmission, awg)->si / rule - 1.0) <= 0.03);
  }
}

// c5: AC 43.13-1B example 2, p. 11-27 (read): 47 A · 0.91 · 0.6 = 25.66, printed 26 A, at 200 °C in 50 °C. Its T2 at 20
// A, by a square root (from memory), is 181.6 °C (calc); with the loss I²·R the rise goes at most with the square,
// 138.8 °C, and less where cooler copper resists less.
TEST_CASE("c5: at part load a wire stays below the square law's temperature") {
  CHECK(47 * 0.91 * 0.6 == doctest::Approx(25.66).epsilon(1e-3));
  const RatedWire wire = {.current = amperes(26), .conductor = celsius(200), .ambient = celsius(50)};
  const Temperature square = celsius(50) + kelvins(150.0 * 400 / 676);
  CHECK((square - celsius(0)).si == doctest::Approx(138.8).epsilon(1e-3));
  const auto warm = conductor_temperature(wire, amperes(20), celsius(50));
  REQUIRE(warm.has_value());
  CHECK(*warm < square);
  CHECK(*warm > celsius(100));
}
