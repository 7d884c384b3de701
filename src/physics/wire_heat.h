// How warm a wire gets, from one rated point of a table (ampacity.h), and at what current it melts.
//
//   settled rise: θ = Tc − Ta, θ ∝ I²·R(Tc)    so with g = (I/Ir)²·(Tr − Tar)/(Tr − z), z = −234.5 °C:
//     Tc = (Ta − g·z)/(1 − g), none at g ≥ 1
//   without the copper's own rise of resistance (constant R): Tc = Ta + (Tr − Tar)·(I/Ir)²
//   the reverse: I = Ir·√((Tc − Ta)/(Tr − Tar)·(Tr − z)/(Tc − z))
//
// Heat given off taken in proportion to the rise: within ten per cent or so for 20 … 100 K above ambient. Some guides
// print a rise in proportion to √(I2/Imax); it contradicts the loss I²·R, and stands here only to check the printed
// examples.
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
[[nodiscard]] Temperature conductor_temperature_constant_resistance(const RatedWire& rated, Current i,
                                                                    Temperature ambient);
// The current that settles at this conductor temperature; 0 at or below ambient.
[[nodiscard]] Current current_for(const RatedWire& rated, Temperature conductor, Temperature ambient);
// FAA AC 43.13-1B p. 11-23: T2 = T1 + (TR − T1)·√(I2/Imax) (symbols read, the root from memory). Form check only.
[[nodiscard]] Temperature conductor_temperature_square_root(const RatedWire& rated, Current i, Temperature ambient);

// Preece: I = 10244·d^1.5, d in inches, copper in free air, minutes (read, nessengr.com). Order of magnitude only.
[[nodiscard]] Current preece_fusing_current(Length diameter);
// The diameter that melts at this current.
[[nodiscard]] Length preece_diameter(Current i);
// Onderdonk, no heat lost: I = A·√(log10((Tm − Ta)/(234 + Ta) + 1)/(33·t)), A in circular mil, t in s, T in °C, copper
// 1083 °C (from memory; seconds at most). Order of magnitude only.
[[nodiscard]] Current onderdonk_fusing_current(Area conductor, Time t, Temperature ambient);
[[nodiscard]] Time onderdonk_fusing_time(Area conductor, Current i, Temperature ambient);

}  // namespace ringout::physics
