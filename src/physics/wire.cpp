#include "physics/wire.h"

#include <array>
#include <cmath>

#include "base/check.h"

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
  return (234.5 + (t.si - 273.15)) / 254.5;
}

std::optional<LinearResistance> class5_maximum(Area nominal) {
  struct Row {
    double mm2;
    double ohms_per_km;
  };
  static constexpr std::array<Row, 12> rows = {{{0.14, 134.0},
                                                {0.25, 76.0},
                                                {0.34, 53.0},
                                                {0.5, 39.0},
                                                {0.75, 26.0},
                                                {1.0, 19.5},
                                                {1.5, 13.3},
                                                {2.5, 7.98},
                                                {4.0, 4.95},
                                                {6.0, 3.30},
                                                {10.0, 1.91},
                                                {16.0, 1.21}}};
  const double mm2 = nominal.in(square_millimetres(1));
  for (const Row& row : rows) {
    if (std::abs(mm2 - row.mm2) < 1e-6 * row.mm2) return ohms_per_kilometre(row.ohms_per_km);
  }
  return std::nullopt;
}

Resistance loop_resistance(Area conductor, Length one_way) {
  return 2.0 * (resistance_per_length(conductor) * one_way);
}

Voltage voltage_drop(LinearResistance per_length, Length conductor, Current current) {
  return per_length * conductor * current;
}

}  // namespace ringout::physics
