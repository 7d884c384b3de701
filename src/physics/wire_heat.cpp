#include "physics/wire_heat.h"

#include <cmath>

#include "base/check.h"

namespace ringout::physics {
namespace {

void check(const RatedWire& rated) {
  RINGOUT_CHECK(rated.current.si > 0.0 && rated.conductor > rated.ambient);
}

}  // namespace

std::optional<Temperature> conductor_temperature(const RatedWire& rated, Current i, Temperature ambient) {
  check(rated);
  const double load = i / rated.current;
  const double g = load * load * ((rated.conductor - rated.ambient) / (rated.conductor - copper_zero));
  if (g >= 1.0) return std::nullopt;
  return copper_zero + (ambient - copper_zero) / (1.0 - g);
}

Current current_for(const RatedWire& rated, Temperature conductor, Temperature ambient) {
  check(rated);
  if (conductor <= ambient) return {};
  const double rise = (conductor - ambient) / (rated.conductor - rated.ambient);
  return rated.current * std::sqrt(rise * ((rated.conductor - copper_zero) / (conductor - copper_zero)));
}

}  // namespace ringout::physics
