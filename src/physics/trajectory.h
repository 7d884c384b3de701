// A move from rest to rest: speed up, cruise, slow down, with one acceleration both ways.
//
//   ta = v/a, da = ½·a·ta², cruise time = (D − 2·da)/v; where that is not positive, a triangle: v = √(a·D), no cruise
//   a triangle's greatest speed is twice its mean: v = 2·D/T
//
// Jerk unlimited. D > 0, v > 0, a > 0, T > 0. For a rotation divide by the radius first, or multiply after. Source:
// firgelliauto.com engineering note; linearmotiontips.com, "how to calculate velocity" (read).
#pragma once

#include <optional>

#include "units/quantity.h"

namespace ringout::physics {

struct Move {
  Length way;
  Acceleration acceleration;
  Speed peak;
  Time ramp;    // each of the two
  Time cruise;  // 0 for a triangle
  [[nodiscard]] Time total() const { return 2.0 * ramp + cruise; }
};

// The fastest move within these bounds.
[[nodiscard]] Move fastest_move(Length way, Speed greatest, Acceleration acceleration);
// The move that takes this long with this acceleration, as slow as it may be; nothing where T² < 4·D/a.
[[nodiscard]] std::optional<Move> move_in(Length way, Time total, Acceleration acceleration);
// The triangle that takes this long.
[[nodiscard]] Move triangle_in(Length way, Time total);

struct MovePoint {
  Length way;
  Speed speed;
};
// Held at both ends.
[[nodiscard]] MovePoint at(const Move& move, Time t);

}  // namespace ringout::physics
