// Units of heat that several headers of this folder share. Temperatures are absolute; a rise is a difference of two.
#pragma once

#include "units/quantity.h"

namespace ringout::physics {

using ThermalResistance = Quantity<-1, -2, 3, 0, 1, 0>;  // K/W
using HeatCapacity = Quantity<1, 2, -2, 0, -1, 0>;       // J/K
using PerKelvin = Quantity<0, 0, 0, 0, -1, 0>;

constexpr ThermalResistance kelvins_per_watt(double v) {
  return {v};
}
constexpr HeatCapacity joules_per_kelvin(double v) {
  return {v};
}
constexpr PerKelvin per_kelvin(double v) {
  return {v};
}

// Copper's resistance is a straight line that would meet zero here: R(t) = R(t0)·(t − zero)/(t0 − zero). Inferred zero
// of annealed copper, −234.5 °C (FAA AC 43.13-1B p. 11-22, read; IACS).
constexpr Temperature copper_zero = celsius(-234.5);

}  // namespace ringout::physics
