// What wires may carry, how warm they get and when they melt, against published tables. Marks as in
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
  const std::array<double, 4> bundles = {0.94, 0.89, 0.83, 0.76};  // two to five wires, same manual
  for (int wires = 2; wires <= 5; ++wires) CHECK(bundle_factor(wires) == bundles[static_cast<std::size_t>(wires - 2)]);
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

// c5: AC 43.13-1B example 2, p. 11-27 (read): 47 A · 0.91 · 0.6 = 25.66, printed 26 A; then T2 at 20 A: 181.6 °C (calc;
// symbols read p. 11-23, the square root from memory). Form check only: physics has the rise go with the square, 138.8
// °C with constant resistance, and that is what the tool uses.
TEST_CASE("c5: the square-root rule is a form check, the square law is used") {
  CHECK(47 * 0.91 * 0.6 == doctest::Approx(25.66).epsilon(1e-3));
  const RatedWire wire = {.current = amperes(26), .conductor = celsius(200), .ambient = celsius(50)};
  CHECK((conductor_temperature_square_root(wire, amperes(20), celsius(50)) - celsius(0)).si ==
        doctest::Approx(181.6).epsilon(1e-3));
  const Temperature square = conductor_temperature_constant_resistance(wire, amperes(20), celsius(50));
  CHECK((square - celsius(50)).si == doctest::Approx(150.0 * 400 / 676).epsilon(1e-9));
  CHECK(*conductor_temperature(wire, amperes(20), celsius(50)) < square);
}

// Preece, nessengr.com/techdata/fuse/fuse.html (read): printed to a tenth of a mil; half of that, or 0.3 %.
TEST_CASE("c5: Preece") {
  const double rows[][2] = {{1, 0.0021},  {5, 0.0062},   {10, 0.0098},  {20, 0.0156},
                            {50, 0.0288}, {100, 0.0457}, {200, 0.0725}, {300, 0.0950}};
  for (const auto& row : rows) {
    CAPTURE(row[0]);
    const double inches = preece_diameter(amperes(row[0])).in(metres(0.0254));
    CHECK(std::abs(inches - row[1]) <= std::max(0.00006, 0.003 * row[1]));
    CHECK(preece_fusing_current(preece_diameter(amperes(row[0]))).si == doctest::Approx(row[0]));
  }
}

// Onderdonk: the usual form (memory) gives 168.9 A for 2581 circular mil in 5 s (calc). The page read (physicsforums
// post 2503480) divides by 234 − Ta and prints 178 A and, for 4110 circular mil at 400 A, "about 2 s": forms, not
// proofs.
TEST_CASE("c5: Onderdonk, form check") {
  const Area circular_mil = {pi / 4 * 25.4e-6 * 25.4e-6};
  const Current i = onderdonk_fusing_current(2581.0 * circular_mil, seconds(5), celsius(25));
  CHECK(i.si == doctest::Approx(168.9).epsilon(0.0005));
  CHECK(std::abs(i.si / 178.0 - 1.0) < 0.06);
  const Time t = onderdonk_fusing_time(4110.0 * circular_mil, amperes(400), celsius(25));
  CHECK(t.si > 1.5);
  CHECK(t.si < 2.5);
}
