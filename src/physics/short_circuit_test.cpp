#include "physics/short_circuit.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;

namespace {

double factor(double start, double end) {
  return std::sqrt(short_withstand(square_millimetres(1), {celsius(start), celsius(end)}).si);
}

constexpr std::array<LimitPoint, 3> table = {
    {{1.0, for_ever(), for_ever()}, {2.0, seconds(1), seconds(10)}, {6.0, seconds(0.1), seconds(0.5)}}};

}  // namespace

// IEC 60364-5-54 table A.54.4 and 60364-4-43 table 43A, copper, k in A·√s/mm² (from memory; printed without decimals).
TEST_CASE("the law gives the factors of the standard's tables") {
  struct Row {
    const char* insulation;
    double start;
    double end;
    double k;
  };
  for (const Row& row : {Row{"PVC, 70 °C", 70, 160, 115}, Row{"PVC, 90 °C", 90, 160, 100},
                         Row{"thermosetting, 90 °C", 90, 250, 143}, Row{"rubber, 60 °C", 60, 200, 141},
                         Row{"PVC above 300 mm²", 70, 140, 103}, Row{"thermosetting, from 30 °C", 30, 250, 176}}) {
    CAPTURE(row.insulation);
    CHECK(factor(row.start, row.end) == doctest::Approx(row.k).epsilon(0.6 / row.k));
  }
}

// Worked by hand: t = (115·2.5/100)² = 8.27 s; (115·1.5/1000)² = 29.8 ms; (143·4/2000)² = 81.8 ms.
TEST_CASE("the time that a wire bears a current") {
  const auto bears = [](double mm2, const ShortHeating& heating, double amps) {
    return short_withstand(square_millimetres(mm2), heating).si / (amps * amps);
  };
  CHECK(bears(2.5, {celsius(70), celsius(160)}, 100) == doctest::Approx(8.27).epsilon(0.005));
  CHECK(bears(1.5, {celsius(70), celsius(160)}, 1000) == doctest::Approx(0.0298).epsilon(0.005));
  CHECK(bears(4.0, {celsius(90), celsius(250)}, 2000) == doctest::Approx(0.0818).epsilon(0.005));
}

TEST_CASE("insulation of unknown kind counts as the poorest that bears its temperature") {
  CHECK(short_heating(celsius(60))->start == celsius(70));
  CHECK(short_heating(celsius(105))->start == celsius(105));
  CHECK(short_heating(celsius(105))->end == celsius(160));
  CHECK(short_heating(celsius(150))->end == celsius(250));
  CHECK(!short_heating(celsius(250)).has_value());
  for (double t = 0; t < 250; t += 5) {
    CAPTURE(t);
    CHECK(short_withstand(square_millimetres(1), *short_heating(celsius(t))).si > 0.0);
  }
}

TEST_CASE("let-through by hand: the least I²t of the points at or below the current, none below the first") {
  const auto let = [](double amps, double mechanism = 0.0) {
    return most_let_through(table, amperes(10), {amperes(amps), amperes(amps)}, seconds(mechanism)).si;
  };
  CHECK(std::isinf(let(19.9)));
  CHECK(let(20) == doctest::Approx(20.0 * 20 * 10));
  CHECK(let(59) == doctest::Approx(4000));
  CHECK(let(60) == doctest::Approx(60.0 * 60 * 0.5));
  CHECK(let(500) == doctest::Approx(1800));
  CHECK(let(500, 0.1) == doctest::Approx(1800 + 500.0 * 500 * 0.1));
  // Along a wire: what opens late at its far end, and what the mechanism lets through at its near end.
  CHECK(most_let_through(table, amperes(10), {amperes(30), amperes(300)}, seconds(0.1)).si ==
        doctest::Approx(4000 + 300.0 * 300 * 0.1));
}

TEST_CASE("an element of first order within the limits lets no more through than the bound") {
  Chance chance(77);
  int tried = 0;
  for (int n = 0; n < 4000; ++n) {
    const double boundary = chance.between(1.0, 1.9);
    const double constant = chance.log_between(0.05, 60);
    const auto opens = [&](double m) { return -constant * std::log1p(-(boundary / m) * (boundary / m)); };
    if (opens(2.0) < 1 || opens(2.0) > 10 || opens(6.0) < 0.1 || opens(6.0) > 0.5) continue;
    ++tried;
    const double m = chance.log_between(2.0, 100);
    CAPTURE(m);
    const double through = m * m * opens(m);
    CHECK(through <= most_let_through(table, amperes(1), {amperes(m), amperes(m)}, seconds(0)).si * (1 + 1e-12));
  }
  CHECK(tried > 50);
}
