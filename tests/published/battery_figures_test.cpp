// Batteries against published examples. Marks as in motor_figures_test.cpp.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "physics/battery.h"
#include "physics/discharge.h"

using namespace ringout;
using namespace ringout::physics;

namespace {

const ChargeTable* table_named(std::string_view name) {
  const auto all = charge_tables();
  const auto at = std::find_if(all.begin(), all.end(), [&](const ChargeTable& t) { return t.name == name; });
  return at == all.end() ? nullptr : &*at;
}

}  // namespace

// D4: OpenStax College Physics 21.2 and University Physics 2, 10.1 (read); D4' (results memory, arithmetic exact). A
// resistive load is its conductance.
TEST_CASE("D4: one battery, three loads") {
  struct Row {
    double internal, load, amps, terminals;
  };
  for (const Row& row : {Row{0.100, 10.0, 1.188, 11.9}, Row{0.100, 0.500, 20.0, 10.0}, Row{0.500, 0.500, 12.0, 6.0}}) {
    CAPTURE(row.load);
    const std::vector<ChargePoint> open = {{1.0, volts(12.0)}};
    const BatteryState battery{.rating = {.capacity = ampere_hours(7), .rated_time = seconds(72'000)},
                               .open_circuit = open,
                               .internal = ohms(row.internal),
                               .by_charge = {}};
    const auto at =
        loaded(battery, {.fixed = {}, .per_volt = 1.0 / ohms(row.load), .power = {}, .duration = seconds(1)});
    REQUIRE(at);
    CHECK(std::abs(at->current.in(amperes(1)) - row.amps) <= 0.0005);
    CHECK(std::abs(at->terminals.in(volts(1)) - row.terminals) <= 0.05);
  }
}

// D8: motorhome.com Q&A (read). Other tables differ by up to 0.15 V at the same charge; only interpolation is checked.
TEST_CASE("open circuit against charge is read off a table") {
  constexpr std::array<ChargePoint, 4> table = {
      {{0.25, volts(12.15)}, {0.50, volts(12.30)}, {0.75, volts(12.45)}, {1.0, volts(12.66)}}};
  for (const ChargePoint& p : table)
    CHECK(open_circuit(table, p.state_of_charge).si == doctest::Approx(p.open_circuit.si));
  CHECK(open_circuit(table, 0.625).in(volts(1)) == doctest::Approx(12.375));
  CHECK(open_circuit(table, 0.0).in(volts(1)) == doctest::Approx(12.15));
  CHECK(open_circuit(table, 1.2).in(volts(1)) == doctest::Approx(12.66));
}

// D2: batterystuff.com, "Math Behind the Magic"; Xantrex Link 20 manual p. 26 (formulas read). D3: maker sheet "NP125
// 12V5Ah" (YHI copy; inputs read, n calc to five figures): 20 h 0.25 A, 10 h 0.475 A, 5 h 0.85 A, 1 h 3.0 A to 9.6 V.
TEST_CASE("D2, D3: Peukert's exponent depends on the pair of rates, and gives both rates back") {
  const Current i20 = amperes(0.25);
  const Time t20 = seconds(20 * 3600);
  struct Row {
    const char* name;
    double amps, hours, exponent;
  };
  for (const Row& row : {Row{"10 h", 0.475, 10, 1.0799}, Row{"5 h", 0.85, 5, 1.1328}, Row{"1 h", 3.0, 1, 1.2056}}) {
    CAPTURE(row.name);
    const double n = peukert_exponent(i20, t20, amperes(row.amps), seconds(row.hours * 3600));
    CHECK(std::abs(n - row.exponent) <= 0.0001);
    const PeukertRating rating = {.capacity = ampere_hours(5), .rated_time = t20, .exponent = n};
    CHECK(peukert_run_time(rating, amperes(row.amps)).si == doctest::Approx(row.hours * 3600).epsilon(1e-9));
    CHECK(peukert_run_time(rating, i20).si == doctest::Approx(t20.si).epsilon(1e-9));
  }
  // One exponent does not fit all rates: the one from 10 h gives 26 % too long a time at the hour's rate.
  const PeukertRating slow = {.capacity = ampere_hours(5), .rated_time = t20, .exponent = 1.0799};
  CHECK(peukert_run_time(slow, amperes(3.0)).si > 1.25 * 3600);
}

// D8 motorhome.com Q&A, D9 lists.ettus.com (read), for a 12 V battery of six cells; half a unit of the last figure.
TEST_CASE("D8, D9: two published tables of lead-acid, and how far apart they are") {
  const ChargeTable* a = table_named("lead-acid A");
  const ChargeTable* b = table_named("lead-acid B");
  REQUIRE(a != nullptr);
  REQUIRE(b != nullptr);
  const double rows[][3] = {{1.0, 12.66, 12.6}, {0.75, 12.45, 12.4}, {0.5, 12.30, 12.2}, {0.25, 12.15, 12.0}};
  double widest = 0.0;
  for (const auto& row : rows) {
    CAPTURE(row[0]);
    CHECK(std::abs(open_circuit(*a, 6, row[0]).si - row[1]) <= 1e-9);
    CHECK(std::abs(open_circuit(*b, 6, row[0]).si - row[2]) <= 1e-9);
    widest = std::max(widest, std::abs(row[1] - row[2]));
    CHECK(state_of_charge(*a, 6, volts(row[1])).least == doctest::Approx(row[0]).epsilon(1e-9));
    CHECK(state_of_charge(*b, 6, volts(row[2])).least == doctest::Approx(row[0]).epsilon(1e-9));
  }
  CHECK(widest == doctest::Approx(0.15));
  CHECK(open_circuit(*b, 6, 0.0).si == doctest::Approx(11.6));
}

// D10, D11: tables of unnamed origin, plausibility and interpolation only. Four cells of lithium iron phosphate lie in
// the 12 V class, and half-way between two printed points is the mean of both.
TEST_CASE("plausible: D10, D11, cell tables") {
  const ChargeTable* phosphate = table_named("lithium iron phosphate");
  const ChargeTable* ion = table_named("lithium ion");
  REQUIRE(phosphate != nullptr);
  REQUIRE(ion != nullptr);
  CHECK(open_circuit(*phosphate, 4, 1.0).si == doctest::Approx(13.6));
  CHECK(open_circuit(*phosphate, 4, 0.55).si == doctest::Approx(4 * 0.5 * (3.260 + 3.270)));
  CHECK(open_circuit(*ion, 1, 0.4644).si == doctest::Approx(3.7059));
  CHECK(open_circuit(*ion, 1, 0.5 * (0.4644 + 0.5985)).si == doctest::Approx(0.5 * (3.7059 + 3.8368)));
}
