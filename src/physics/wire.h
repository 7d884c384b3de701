// Copper wire: gauge sizes, resistance, temperature. All for solid annealed copper; a stranded conductor of the same
// gauge is a few per cent higher because its strands are longer than the wire.
#pragma once

#include "units/quantity.h"

namespace ringout::physics {

using LinearResistance = Quantity<1, 1, -3, -2, 0, 0>;  // ohms per metre
using Resistivity = Quantity<1, 3, -3, -2, 0, 0>;       // ohm metres

constexpr LinearResistance ohms_per_kilometre(double v) {
  return {v * 1e-3};
}
constexpr LinearResistance ohms_per_foot(double v) {
  return {v / 0.3048};
}
constexpr Length feet(double v) {
  return metres(v * 0.3048);
}

// International Annealed Copper Standard, 58 MS/m at 20 °C.
constexpr Resistivity copper_resistivity_20 = {1.0 / 58.0e6};

// Diameter of an American Wire Gauge size: d = 0.127 mm · 92^((36 − n)/39) (ASTM B258).
// Gauge n from −3 (written 4/0) to 40; other numbers abort (gauges are checked where they are read).
[[nodiscard]] Length awg_diameter(int gauge);
[[nodiscard]] Area awg_area(int gauge);

// R/l = ρ20 / A at 20 °C, direct current; A > 0.
[[nodiscard]] LinearResistance resistance_per_length(Area conductor);

// Resistance at t over resistance at 20 °C, copper: (234.5 + t) / 254.5, t in °C, −50 … 200 °C
// (the linear law through the inferred zero at −234.5 °C; α20 = 1/254.5 = 0.00393 /K).
[[nodiscard]] double copper_resistance_factor(Temperature t);

// Both leads of a two-wire run: 2 · length · R/l.
[[nodiscard]] Resistance loop_resistance(Area conductor, Length one_way);

// U = I · R/l · l for one conductor.
[[nodiscard]] Voltage voltage_drop(LinearResistance per_length, Length conductor, Current current);

}  // namespace ringout::physics
