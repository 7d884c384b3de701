// I²t of a single pulse, to be compared with a fuse's nominal melting I²t.
//
//   square ip²·t   half sine ½·ip²·t   triangle ⅓·ip²·t   trapezoid ⅓·(ip² + ip·ib + ib²)·t   i = k·t²: ⅕·ip²·t
//   exponential decay ½·ip²·t, t the time to 1/e of the peak
//
// Holds for pulses short against the fuse's cooling (about 10 ms for blade fuses) from cold. A fuse withstands 22, 29,
// 38, 48 % of its melting I²t for 100 000, 10 000, 1000, 100 pulses, ten seconds or more apart. Source: Littelfuse,
// Fuseology Selection Guide 2017, charts 1 and 2 (read).
#pragma once

#include <optional>

#include "physics/protection.h"

namespace ringout::physics {

enum class PulseShape { square, half_sine, triangle, parabola, exponential };

// ip ≥ 0, t ≥ 0.
[[nodiscard]] SquaredCurrentTime pulse_i2t(PulseShape shape, Current peak, Time t);
// From ib to ip in a straight line (either way round).
[[nodiscard]] SquaredCurrentTime trapezoid_i2t(Current from, Current to, Time t);

// Share of the melting I²t that may be used for this many pulses: the next larger tabulated number's, never between.
// Nothing for more than 100 000.
[[nodiscard]] std::optional<double> pulse_withstand(double pulses);

}  // namespace ringout::physics
