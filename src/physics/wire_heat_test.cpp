#include "physics/wire_heat.h"

#include <doctest/doctest.h>

#include "physics/ampacity.h"
#include "physics/physics_testing.h"
#include "physics/wire.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;

namespace {

constexpr RatedWire sixteen = {.current = amperes(7), .conductor = celsius(105), .ambient = celsius(70)};

}  // namespace

TEST_CASE("the rated point is met, the rise goes with the square of the current") {
  CHECK(conductor_temperature(sixteen, amperes(7), celsius(70))->si == doctest::Approx(celsius(105).si));
  // With constant resistance a quarter of the 35 K would be left: 78.75 °C. A cooler wire has less resistance, so it
  // stays below the square's line there, and above it beyond the rating.
  CHECK(*conductor_temperature(sixteen, amperes(3.5), celsius(70)) < celsius(78.75));
  CHECK(*conductor_temperature(sixteen, amperes(14), celsius(70)) > celsius(210));
  CHECK(!conductor_temperature(sixteen, amperes(25), celsius(70)).has_value());
}

TEST_CASE("the current for a temperature gives that temperature") {
  Chance chance(41);
  for (int n = 0; n < 200; ++n) {
    CAPTURE(n);
    const Temperature ambient = celsius(chance.between(-20, 90));
    const Temperature limit = ambient + kelvins(chance.between(1, 120));
    const Current i = current_for(sixteen, limit, ambient);
    CHECK(conductor_temperature(sixteen, i, ambient)->si == doctest::Approx(limit.si).epsilon(1e-12));
  }
  CHECK(current_for(sixteen, celsius(60), celsius(60)).si == 0.0);
}

TEST_CASE("halving a wire's length never raises its drop, thickening it neither") {
  Chance chance(42);
  for (int n = 0; n < 500; ++n) {
    CAPTURE(n);
    const Area area = square_millimetres(chance.log_between(0.1, 20));
    const Length length = metres(chance.log_between(0.05, 30));
    const Current i = amperes(chance.log_between(0.01, 100));
    const LinearResistance r = resistance_per_length(area);
    CHECK(voltage_drop(r, 0.5 * length, i) <= voltage_drop(r, length, i));
    CHECK(loop_resistance(area, 0.5 * length) <= loop_resistance(area, length));
    CHECK(loop_resistance(2.0 * area, length) <= loop_resistance(area, length));
  }
}

TEST_CASE("tables: a thicker wire carries more, a cross-section counts as the gauge within it") {
  for (const AmpacityTable table : {AmpacityTable::bundled_105, AmpacityTable::bundled_150, AmpacityTable::bundled_200,
                                    AmpacityTable::free_air, AmpacityTable::chassis, AmpacityTable::transmission}) {
    Current thicker = amperes(1e9);
    for (int awg = 8; awg <= 30; ++awg) {
      const auto i = ampacity(table, awg);
      if (!i) continue;
      CAPTURE(awg);
      CHECK(*i < thicker);
      thicker = *i;
      CHECK(ampacity(table, awg_area(awg)) == i);
    }
    CHECK(!ampacity(table, 40).has_value());
    CHECK(!ampacity(table, square_millimetres(0.001)).has_value());
    CHECK(!conditions_of(table).source.text.empty());
  }
  CHECK(ampacity(AmpacityTable::bundled_105, square_millimetres(1.5)) == amperes(7));  // 16 AWG is 1.31 mm²
}
