// The battery as a source of voltage behind a resistance: U = E − r·I, discharge current positive.
//
//   Peukert: t = H·(C/(I·H))^n, the charge it gives at I falls with I; n from two rates: log(t2/t1)/log(I1/I2)
//   r(charge, t) = r0·fq(charge)·ft(t)
//
// Holds for settled currents (seconds and longer); the recovery of minutes after a load is not in it, so an open
// reading just after a load looks emptier than it is. One n does not fit all rates (a 5 Ah sheet gives 1.08 … 1.21):
// take it from two rates around the current in question. Below the rated current the law would give more than C; it is
// held at C there. Source: battery monitor manuals (Xantrex Link 20 p. 26, read); OpenStax College Physics 21.2 (read).
#pragma once

#include <span>

#include <string_view>

#include "physics/figure_source.h"
#include "units/quantity.h"

namespace ringout::physics {

// One point of an open-circuit table; tables differ between makers by tenths of a volt at the same charge, so name the
// table with every answer taken from it.
struct ChargePoint {
  double state_of_charge;  // 0 … 1
  Voltage open_circuit;
};

// Linear between points, held beyond the ends. At least one point, charge rising.
[[nodiscard]] Voltage open_circuit(std::span<const ChargePoint> table, double state_of_charge);

// A table that somebody published; per cell, so a battery's is `cells` times it.
struct ChargeTable {
  std::string_view name;       // "lead-acid A", …: goes with every answer
  std::string_view chemistry;  // "lead-acid", "lithium iron phosphate", "lithium ion"
  FigureSource source;
  std::span<const ChargePoint> per_cell;
};
[[nodiscard]] std::span<const ChargeTable> charge_tables();
[[nodiscard]] Voltage open_circuit(const ChargeTable& table, int cells, double state_of_charge);
// The charge at which a battery at rest has this voltage, the table read the other way round: least and greatest are
// the same within it. Below a table that ends above empty: from 0 to where it ends. `cells` > 0.
struct ChargeRange {
  double least;
  double greatest;
};
[[nodiscard]] ChargeRange state_of_charge(const ChargeTable& table, int cells, Voltage rested);

struct PeukertRating {
  Charge capacity;        // C > 0, at the rated time
  Time rated_time;        // H > 0: 20 h for most lead-acid
  double exponent = 1.0;  // n ≥ 1
};
// Time from full to empty at I > 0.
[[nodiscard]] Time peukert_run_time(const PeukertRating& rating, Current discharge);
// The rate at which charge counts: I·(I·H/C)^(n − 1) at or above the rated current, I below it and while charging.
[[nodiscard]] Current counted_current(const PeukertRating& rating, Current discharge);
// n from two discharges to the same voltage; currents and times differ, all > 0.
[[nodiscard]] double peukert_exponent(Current i1, Time t1, Current i2, Time t2);

// A factor read off a table, linear between points, held beyond the ends, 1 for an empty table.
struct FactorAtCharge {
  double state_of_charge;
  double factor;
};
struct FactorAtTemperature {
  Temperature temperature;
  double factor;
};
[[nodiscard]] double resistance_factor(std::span<const FactorAtCharge> by_charge, double state_of_charge);
[[nodiscard]] double resistance_factor(std::span<const FactorAtTemperature> by_temperature, Temperature t);

}  // namespace ringout::physics
