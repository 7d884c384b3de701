#include "physics/battery.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/check.h"
#include "physics/held_line.h"

namespace ringout::physics {
namespace {

// Twelve-volt figures divided by six cells where the source prints the battery.
constexpr std::array<ChargePoint, 4> lead_acid_a = {
    {{0.25, volts(12.15 / 6)}, {0.50, volts(12.30 / 6)}, {0.75, volts(12.45 / 6)}, {1.0, volts(12.66 / 6)}}};
constexpr std::array<ChargePoint, 5> lead_acid_b = {{{0.0, volts(11.6 / 6)},
                                                     {0.25, volts(12.0 / 6)},
                                                     {0.50, volts(12.2 / 6)},
                                                     {0.75, volts(12.4 / 6)},
                                                     {1.0, volts(12.6 / 6)}}};
constexpr std::array<ChargePoint, 11> lead_acid_c = {{{0.0, volts(1.950)},
                                                      {0.1, volts(1.960)},
                                                      {0.2, volts(1.970)},
                                                      {0.3, volts(1.980)},
                                                      {0.4, volts(1.990)},
                                                      {0.5, volts(2.010)},
                                                      {0.6, volts(2.030)},
                                                      {0.7, volts(2.050)},
                                                      {0.8, volts(2.070)},
                                                      {0.9, volts(2.090)},
                                                      {1.0, volts(2.120)}}};
constexpr std::array<ChargePoint, 11> iron_phosphate = {{{0.0, volts(3.000)},
                                                         {0.1, volts(3.120)},
                                                         {0.2, volts(3.200)},
                                                         {0.3, volts(3.230)},
                                                         {0.4, volts(3.250)},
                                                         {0.5, volts(3.260)},
                                                         {0.6, volts(3.270)},
                                                         {0.7, volts(3.290)},
                                                         {0.8, volts(3.320)},
                                                         {0.9, volts(3.350)},
                                                         {1.0, volts(3.400)}}};
constexpr std::array<ChargePoint, 16> lithium_ion = {{{0.0, volts(2.6929)},
                                                      {0.0236, volts(3.1683)},
                                                      {0.0473, volts(3.3177)},
                                                      {0.0709, volts(3.3668)},
                                                      {0.0945, volts(3.3923)},
                                                      {0.1238, volts(3.4225)},
                                                      {0.1530, volts(3.4561)},
                                                      {0.2417, volts(3.5478)},
                                                      {0.3303, volts(3.6094)},
                                                      {0.4644, volts(3.7059)},
                                                      {0.5985, volts(3.8368)},
                                                      {0.7391, volts(3.9740)},
                                                      {0.8798, volts(4.0759)},
                                                      {0.9199, volts(4.1018)},
                                                      {0.9599, volts(4.1315)},
                                                      {1.0, volts(4.1710)}}};
const std::array<ChargeTable, 5> tables = {
    {{.name = "lead-acid A",
      .chemistry = "lead-acid",
      .source = {"motorhome.com questions and answers, 12 V battery from 25 to 100 %", Mark::read},
      .per_cell = lead_acid_a},
     {.name = "lead-acid B",
      .chemistry = "lead-acid",
      .source = {"mailing list lists.ettus.com, rule for a flooded 12 V battery", Mark::read},
      .per_cell = lead_acid_b},
     {.name = "lead-acid C",
      .chemistry = "lead-acid",
      .source = {"table in an open firmware of no named origin: plausible, no more", Mark::second_hand},
      .per_cell = lead_acid_c},
     {.name = "lithium iron phosphate",
      .chemistry = "lithium iron phosphate",
      .source = {"table in an open firmware of no named origin: plausible, no more", Mark::second_hand},
      .per_cell = iron_phosphate},
     {.name = "lithium ion",
      .chemistry = "lithium ion",
      .source = {"one 21700 cell, table in a public program of no named origin: plausible, no more", Mark::second_hand},
      .per_cell = lithium_ion}}};

// Factor tables of either argument, 1 for none.
template <class Point, class At>
double factor_in(std::span<const Point> table, double x, At at) {
  return table.empty() ? 1.0 : held_line(table, x, at, [](const Point& p) { return p.factor; });
}

}  // namespace

Voltage open_circuit(std::span<const ChargePoint> table, double state_of_charge) {
  RINGOUT_CHECK(!table.empty());
  return held_line(
      table, state_of_charge, [](const ChargePoint& p) { return p.state_of_charge; },
      [](const ChargePoint& p) { return p.open_circuit; });
}

std::span<const ChargeTable> charge_tables() {
  return tables;
}

Voltage open_circuit(const ChargeTable& table, int cells, double state_of_charge) {
  RINGOUT_CHECK(cells > 0);
  return static_cast<double>(cells) * open_circuit(table.per_cell, state_of_charge);
}

ChargeRange state_of_charge(const ChargeTable& table, int cells, Voltage rested) {
  RINGOUT_CHECK(cells > 0);
  const Voltage cell = rested / static_cast<double>(cells);
  const auto points = table.per_cell;
  if (cell < points.front().open_circuit) return {.least = 0.0, .greatest = points.front().state_of_charge};
  for (std::size_t n = 1; n < points.size(); ++n) {
    const ChargePoint& low = points[n - 1];
    const ChargePoint& high = points[n];
    if (cell > high.open_circuit) continue;
    const double share = (cell - low.open_circuit) / (high.open_circuit - low.open_circuit);
    const double charge = low.state_of_charge + (high.state_of_charge - low.state_of_charge) * share;
    return {.least = charge, .greatest = charge};
  }
  return {.least = points.back().state_of_charge, .greatest = points.back().state_of_charge};
}

Time peukert_run_time(const PeukertRating& rating, Current discharge) {
  RINGOUT_CHECK(rating.capacity.si > 0.0 && discharge.si > 0.0);
  return rating.capacity / counted_current(rating, discharge);
}

Current counted_current(const PeukertRating& rating, Current discharge) {
  RINGOUT_CHECK(rating.capacity.si > 0.0 && rating.rated_time.si > 0.0 && rating.exponent >= 1.0);
  const double share = discharge * rating.rated_time / rating.capacity;
  return share > 1.0 ? discharge * std::pow(share, rating.exponent - 1.0) : discharge;
}

double peukert_exponent(Current i1, Time t1, Current i2, Time t2) {
  RINGOUT_CHECK(i1.si > 0.0 && i2.si > 0.0 && t1.si > 0.0 && t2.si > 0.0 && i1 != i2);
  return std::log(t2 / t1) / std::log(i1 / i2);
}

double resistance_factor(std::span<const FactorAtCharge> by_charge, double state_of_charge) {
  return factor_in(by_charge, state_of_charge, [](const FactorAtCharge& p) { return p.state_of_charge; });
}

double resistance_factor(std::span<const FactorAtTemperature> by_temperature, Temperature t) {
  return factor_in(by_temperature, t.si, [](const FactorAtTemperature& p) { return p.temperature.si; });
}

}  // namespace ringout::physics
