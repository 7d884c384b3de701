#include "physics/protection.h"

#include <cmath>
#include <limits>

#include "base/check.h"

namespace ringout::physics {

ProtectionCurve fuse_curve(Current rating, SquaredCurrentTime melting) {
  RINGOUT_CHECK(rating.si > 0.0);
  const Current boundary = 1.2 * rating;
  const double i2t = melting.si > 0.0 ? melting.si : rating.si * rating.si;
  return {.boundary = boundary, .constant = seconds(i2t / (boundary.si * boundary.si))};
}

ProtectionCurve breaker_curve(Current rating) {
  RINGOUT_CHECK(rating.si > 0.0);
  return {.boundary = 1.15 * rating, .constant = seconds(40)};
}

ProtectionCurve resettable_curve(Current hold, Current trip) {
  RINGOUT_CHECK(hold.si > 0.0 && trip > hold);
  return {.boundary = {std::sqrt(hold.si * trip.si)}, .constant = seconds(55)};
}

double heated(const ProtectionCurve& curve, double x, Current i, Time dt) {
  const double end = (i / curve.boundary) * (i / curve.boundary);
  return end + (x - end) * std::exp(-(dt / curve.constant));
}

Time time_to_open(const ProtectionCurve& curve, Current i) {
  const double load = std::abs(i / curve.boundary);
  if (load <= 1.0) return seconds(std::numeric_limits<double>::infinity());
  return -std::log(1.0 - 1.0 / (load * load)) * curve.constant;
}

}  // namespace ringout::physics
