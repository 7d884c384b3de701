#include "physics/discharge.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;

namespace {

// Open circuit 11 V empty, 13 V full, in a straight line: every result below has a closed form.
constexpr std::array<ChargePoint, 2> line = {{{0.0, volts(11)}, {1.0, volts(13)}}};

BatteryState battery() {
  return {.rating = {.capacity = ampere_hours(7), .rated_time = seconds(72000), .exponent = 1.0},
          .open_circuit = line,
          .internal = ohms(0.05),
          .by_charge = {},
          .temperature_factor = 1.0,
          .state_of_charge = 1.0};
}

}  // namespace

TEST_CASE("a steady current ends when E − r·I is at the cutoff") {
  const DischargeStep steady[] = {{.fixed = amperes(5), .per_volt = {}, .power = {}, .duration = seconds(100)}};
  const Discharge d = discharge(battery(), steady, volts(12), 1000);
  CHECK(d.ended == Ended::cutoff);
  // 11 + 2·q − 0.25 = 12: q = 0.625.
  CHECK(d.state_of_charge == doctest::Approx(0.625).epsilon(1e-9));
  CHECK(d.run_time.si == doctest::Approx(0.375 * 7 * 3600 / 5).epsilon(1e-9));
  CHECK(d.cycles == doctest::Approx(0.375 * 7 * 3600 / 500).epsilon(1e-9));
  CHECK(d.charge.si == doctest::Approx(0.375 * 7 * 3600).epsilon(1e-9));
  CHECK(d.energy.si == doctest::Approx(0.375 * 7 * 3600 * (12.75 + 12.0) / 2).epsilon(1e-9));
  CHECK(d.loaded_at_end.si == doctest::Approx(12.0).epsilon(1e-9));
  CHECK(d.lowest.si == doctest::Approx(12.0).epsilon(1e-9));
}

TEST_CASE("empty before the cutoff; the cycles done; nothing to give") {
  const DischargeStep steady[] = {{.fixed = amperes(5), .per_volt = {}, .power = {}, .duration = seconds(100)}};
  const Discharge empty = discharge(battery(), steady, volts(9), 1000);
  CHECK(empty.ended == Ended::empty);
  CHECK(empty.run_time.si == doctest::Approx(7.0 * 3600 / 5).epsilon(1e-6));
  const Discharge short_run = discharge(battery(), steady, volts(9), 3);
  CHECK(short_run.ended == Ended::cycles_done);
  CHECK(short_run.cycles == doctest::Approx(3));
  CHECK(short_run.run_time.si == doctest::Approx(300));
  const DischargeStep too_much[] = {{.fixed = {}, .per_volt = {}, .power = watts(2000), .duration = seconds(1)}};
  CHECK(discharge(battery(), too_much, volts(9), 3).ended == Ended::overloaded);
}

TEST_CASE("Peukert: the rated current takes the rated time, four times as much takes less than a quarter") {
  BatteryState b = battery();
  b.rating.exponent = 1.2;
  CHECK(peukert_run_time(b.rating, amperes(0.35)).si == doctest::Approx(72000));
  CHECK(peukert_run_time(b.rating, amperes(0.1)).si == doctest::Approx(7 * 3600 / 0.1));  // never more than C
  CHECK(peukert_run_time(b.rating, amperes(1.4)).si == doctest::Approx(72000 * std::pow(0.25, 1.2)));
  const DischargeStep steady[] = {{.fixed = amperes(1.4), .per_volt = {}, .power = {}, .duration = seconds(100)}};
  const Discharge d = discharge(b, steady, volts(9), 100000);
  CHECK(d.run_time.si == doctest::Approx(72000 * std::pow(0.25, 1.2)).epsilon(1e-6));
  CHECK(d.charge.si < 7 * 3600.0);
  CHECK(counted_current(b.rating, amperes(-2)) == amperes(-2));
}

TEST_CASE("loads of three kinds, solved together with the battery") {
  const BatteryState b = battery();
  const DischargeStep all = {.fixed = amperes(2), .per_volt = {0.5}, .power = watts(30), .duration = seconds(1)};
  const auto at = loaded(b, all);
  REQUIRE(at.has_value());
  CHECK(at->terminals.si == doctest::Approx(13.0 - 0.05 * at->current.si));
  CHECK(at->current.si == doctest::Approx(2 + 0.5 * at->terminals.si + 30 / at->terminals.si));
  // Cold and half empty it gives less.
  BatteryState cold = b;
  const std::array<FactorAtCharge, 2> by_charge = {{{0.0, 2.0}, {1.0, 1.0}}};
  cold.by_charge = by_charge;
  cold.temperature_factor = 1.6;
  cold.state_of_charge = 0.5;
  const auto weak = loaded(cold, all);
  REQUIRE(weak.has_value());
  CHECK(weak->terminals.si == doctest::Approx(12.0 - 0.05 * 1.6 * 1.5 * weak->current.si));
}

TEST_CASE("a duty cycle: energy and charge are those of its steps, the lowest voltage that of the heavy one") {
  const DischargeStep cycle[] = {{.fixed = amperes(10), .per_volt = {}, .power = {}, .duration = seconds(6)},
                                 {.fixed = amperes(1), .per_volt = {}, .power = {}, .duration = seconds(54)}};
  const Discharge d = discharge(battery(), cycle, volts(11.5), 100000);
  CHECK(d.ended == Ended::cutoff);
  CHECK(d.charge.si == doctest::Approx((1.0 - d.state_of_charge) * 7 * 3600).epsilon(1e-9));
  // 11 + 2·q − 0.5 = 11.5 at q = 0.5, which falls into a light step: it ends as the next heavy one begins.
  CHECK(d.state_of_charge <= 0.5);
  CHECK(d.state_of_charge > 0.5 - 114.0 / (7 * 3600));
  CHECK(d.lowest.si == doctest::Approx(10.5 + 2 * d.state_of_charge).epsilon(1e-9));
  CHECK(d.loaded_at_end == d.lowest);
  CHECK(d.cycles == doctest::Approx(111));
}

TEST_CASE("charging fills up to full and no further") {
  BatteryState b = battery();
  b.state_of_charge = 0.9;
  const DischargeStep charge[] = {{.fixed = amperes(-7), .per_volt = {}, .power = {}, .duration = seconds(3600)}};
  const Discharge d = discharge(b, charge, volts(9), 1);
  CHECK(d.ended == Ended::cycles_done);
  CHECK(d.state_of_charge == doctest::Approx(1.0));
}

TEST_CASE("tables of open-circuit voltage carry a name, a source, and differ") {
  CHECK(charge_tables().size() >= 5);
  for (const ChargeTable& table : charge_tables()) {
    CAPTURE(table.name);
    CHECK(!table.source.text.empty());
    for (const double charge : {1.0, 0.93, 0.6, 0.41, table.per_cell.front().state_of_charge}) {
      const ChargeRange back = state_of_charge(table, 4, open_circuit(table, 4, charge));
      CHECK(back.least == doctest::Approx(charge).epsilon(1e-9));
      CHECK(back.greatest == back.least);
    }
    const double lowest = table.per_cell.front().state_of_charge;
    CHECK(state_of_charge(table, 1, volts(0.5)).least == 0.0);
    CHECK(state_of_charge(table, 1, volts(0.5)).greatest == lowest);
    CHECK(state_of_charge(table, 1, volts(9)).least == 1.0);
    for (std::size_t n = 1; n < table.per_cell.size(); ++n) {
      CHECK(table.per_cell[n].state_of_charge > table.per_cell[n - 1].state_of_charge);
      CHECK(table.per_cell[n].open_circuit > table.per_cell[n - 1].open_circuit);
    }
  }
}

TEST_CASE("factors are linear between points and held beyond") {
  const std::array<FactorAtTemperature, 2> table = {{{celsius(0), 1.5}, {celsius(20), 1.0}}};
  CHECK(resistance_factor(table, celsius(10)) == doctest::Approx(1.25));
  CHECK(resistance_factor(table, celsius(-30)) == 1.5);
  CHECK(resistance_factor(std::span<const FactorAtTemperature>{}, celsius(-30)) == 1.0);
}
