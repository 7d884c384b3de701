#include "physics/wire_heat.h"

#include <cmath>

#include "base/check.h"
#include "physics/wire.h"

namespace ringout::physics {
namespace {

constexpr Length inch = metres(0.0254);
constexpr Area circular_mil = {pi / 4.0 * 25.4e-6 * 25.4e-6};
constexpr double preece_copper = 10244.0;  // A per inch^1.5
constexpr double melting_celsius = 1083.0;

double in_celsius(Temperature t) {
  return (t - celsius(0)).si;
}

void check(const RatedWire& rated) {
  RINGOUT_CHECK(rated.current.si > 0.0 && rated.conductor > rated.ambient);
}

// log10((Tm − Ta)/(234 + Ta) + 1)/33: the square of amperes per circular mil, times seconds.
double onderdonk_constant(Temperature ambient) {
  const double ta = in_celsius(ambient);
  return std::log10((melting_celsius - ta) / (234.0 + ta) + 1.0) / 33.0;
}

}  // namespace

std::optional<Temperature> conductor_temperature(const RatedWire& rated, Current i, Temperature ambient) {
  check(rated);
  const double load = i / rated.current;
  const double g = load * load * ((rated.conductor - rated.ambient) / (rated.conductor - copper_zero));
  if (g >= 1.0) return std::nullopt;
  return copper_zero + (ambient - copper_zero) / (1.0 - g);
}

Temperature conductor_temperature_constant_resistance(const RatedWire& rated, Current i, Temperature ambient) {
  check(rated);
  const double load = i / rated.current;
  return ambient + (rated.conductor - rated.ambient) * (load * load);
}

Current current_for(const RatedWire& rated, Temperature conductor, Temperature ambient) {
  check(rated);
  if (conductor <= ambient) return {};
  const double rise = (conductor - ambient) / (rated.conductor - rated.ambient);
  return rated.current * std::sqrt(rise * ((rated.conductor - copper_zero) / (conductor - copper_zero)));
}

Temperature conductor_temperature_square_root(const RatedWire& rated, Current i, Temperature ambient) {
  return ambient + (rated.conductor - ambient) * std::sqrt(std::abs(i / rated.current));
}

Current preece_fusing_current(Length diameter) {
  RINGOUT_CHECK(diameter.si > 0.0);
  return amperes(preece_copper * std::pow(diameter / inch, 1.5));
}

Length preece_diameter(Current i) {
  RINGOUT_CHECK(i.si > 0.0);
  return std::pow(i.si / preece_copper, 2.0 / 3.0) * inch;
}

Current onderdonk_fusing_current(Area conductor, Time t, Temperature ambient) {
  RINGOUT_CHECK(t.si > 0.0);
  return amperes(conductor / circular_mil * std::sqrt(onderdonk_constant(ambient) / t.si));
}

Time onderdonk_fusing_time(Area conductor, Current i, Temperature ambient) {
  RINGOUT_CHECK(i.si > 0.0);
  const double mils_per_ampere = conductor / circular_mil / i.si;
  return seconds(onderdonk_constant(ambient) * mils_per_ampere * mils_per_ampere);
}

}  // namespace ringout::physics
