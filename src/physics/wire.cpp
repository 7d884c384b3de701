#include "physics/wire.h"

#include <cmath>

#include "base/check.h"
#include "physics/heat_units.h"

namespace ringout::physics {

Length awg_diameter(int gauge) {
  RINGOUT_CHECK(gauge >= -3 && gauge <= 40);
  return millimetres(0.127 * std::pow(92.0, (36.0 - gauge) / 39.0));
}

Area awg_area(int gauge) {
  const Length d = awg_diameter(gauge);
  return pi / 4.0 * (d * d);
}

LinearResistance resistance_per_length(Area conductor) {
  RINGOUT_CHECK(conductor.si > 0.0);
  return copper_resistivity_20 / conductor;
}

double copper_resistance_factor(Temperature t) {
  return (t - copper_zero) / (celsius(20) - copper_zero);
}

Resistance loop_resistance(Area conductor, Length one_way) {
  return 2.0 * (resistance_per_length(conductor) * one_way);
}

Voltage voltage_drop(LinearResistance per_length, Length conductor, Current current) {
  return per_length * conductor * current;
}

}  // namespace ringout::physics
