#include "physics/trajectory.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace ringout::physics {

Move fastest_move(Length way, Speed greatest, Acceleration acceleration) {
  RINGOUT_CHECK(way.si > 0.0 && greatest.si > 0.0 && acceleration.si > 0.0);
  const Speed triangle = {std::sqrt(acceleration.si * way.si)};
  const Speed peak = std::min(greatest, triangle);
  const Time ramp = peak / acceleration;
  const Time cruise = peak < triangle ? (way - acceleration * ramp * ramp) / peak : Time{};
  return {.way = way, .acceleration = acceleration, .peak = peak, .ramp = ramp, .cruise = cruise};
}

std::optional<Move> move_in(Length way, Time total, Acceleration acceleration) {
  RINGOUT_CHECK(way.si > 0.0 && total.si > 0.0 && acceleration.si > 0.0);
  // D = v·(T − v/a); the smaller root, by the product of both so that small ways keep their figures.
  const double reach = acceleration.si * total.si;
  const double root = reach * reach - 4.0 * acceleration.si * way.si;
  if (root < 0.0) return std::nullopt;
  const Speed peak = {2.0 * acceleration.si * way.si / (reach + std::sqrt(root))};
  const Time ramp = peak / acceleration;
  return Move{.way = way,
              .acceleration = acceleration,
              .peak = peak,
              .ramp = ramp,
              .cruise = std::max(Time{}, total - 2.0 * ramp)};
}

Move triangle_in(Length way, Time total) {
  RINGOUT_CHECK(way.si > 0.0 && total.si > 0.0);
  const Speed peak = 2.0 * way / total;
  return {.way = way, .acceleration = 2.0 * peak / total, .peak = peak, .ramp = total / 2.0, .cruise = {}};
}

MovePoint at(const Move& move, Time t) {
  const Acceleration a = move.acceleration;
  if (t.si <= 0.0) return {};
  if (t >= move.total()) return {.way = move.way, .speed = {}};
  if (t <= move.ramp) return {.way = 0.5 * (a * t * t), .speed = a * t};
  if (t <= move.ramp + move.cruise)
    return {.way = 0.5 * (a * move.ramp * move.ramp) + move.peak * (t - move.ramp), .speed = move.peak};
  const Time left = move.total() - t;
  return {.way = move.way - 0.5 * (a * left * left), .speed = a * left};
}

}  // namespace ringout::physics
