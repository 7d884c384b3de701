// How warm a wire gets, from one rated point of a table (ampacity.h).
//
//   settled rise: θ = Tc − Ta, θ ∝ I²·R(Tc)    so with g = (I/Ir)²·(Tr − Tar)/(Tr − z), z = −234.5 °C:
//     Tc = (Ta − g·z)/(1 − g), none at g ≥ 1
//   the reverse: I = Ir·√((Tc − Ta)/(Tr − Tar)·(Tr − z)/(Tc − z))
//
// Heat given off taken in proportion to the rise: within ten per cent or so for 20 … 100 K above ambient. Some guides
// print a rise in proportion to √(I2/Imax); it contradicts the loss I²·R and is not used.
#pragma once

#include <optional>

#include "physics/heat_units.h"

namespace ringout::physics {

// A wire carries `current` for ever at `ambient` and its conductor settles at `conductor` > ambient.
struct RatedWire {
  Current current;  // > 0
  Temperature conductor;
  Temperature ambient;
};

// Nothing: it runs away.
[[nodiscard]] std::optional<Temperature> conductor_temperature(const RatedWire& rated, Current i, Temperature ambient);
// The current that settles at this conductor temperature; 0 at or below ambient.
[[nodiscard]] Current current_for(const RatedWire& rated, Temperature conductor, Temperature ambient);

}  // namespace ringout::physics
