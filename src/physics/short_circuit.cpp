#include "physics/short_circuit.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "physics/heat_units.h"
#include "physics/wire.h"

namespace ringout::physics {
namespace {

constexpr Temperature ordinary = celsius(70);
constexpr Temperature hottest_thermoplastic = celsius(125);
constexpr Temperature thermoplastic_end = celsius(160);
constexpr Temperature thermosetting_end = celsius(250);
constexpr double joules_per_kelvin_and_cubic_metre = 3.45e6;

}  // namespace

std::optional<ShortHeating> short_heating(Temperature rated) {
  if (rated >= thermosetting_end) return std::nullopt;
  const Temperature end = rated > hottest_thermoplastic ? thermosetting_end : thermoplastic_end;
  return ShortHeating{.start = std::max(rated, ordinary), .end = end};
}

SquaredCurrentTime short_withstand(Area conductor, const ShortHeating& heating) {
  RINGOUT_CHECK(conductor.si > 0.0 && heating.end > heating.start);
  const double whole = joules_per_kelvin_and_cubic_metre * (celsius(20) - copper_zero).si / copper_resistivity_20.si;
  const double warming = std::log((heating.end - copper_zero) / (heating.start - copper_zero));
  return {whole * warming * conductor.si * conductor.si};
}

SquaredCurrentTime most_let_through(std::span<const LimitPoint> table, Current rating, const Prospective& prospective,
                                    Time mechanism) {
  RINGOUT_CHECK(rating.si > 0.0 && prospective.least.si > 0.0 && prospective.least <= prospective.most &&
                mechanism.si >= 0.0);
  SquaredCurrentTime heating = ampere_squared_seconds(HUGE_VAL);
  for (const LimitPoint& p : table) {
    const Current at = rating * p.multiple;
    if (at <= prospective.least) heating = std::min(heating, at * at * p.latest);
  }
  return heating + prospective.most * prospective.most * mechanism;
}

}  // namespace ringout::physics
