// A wave of period 1 that looks like a cosine, made of cubic pieces, so that its slope is exact and cheap: the shape of
// cogging and commutation ripple.
#pragma once

namespace ringout::plant {

[[nodiscard]] inline double fraction_of(double turns) {
  const double whole = static_cast<double>(static_cast<long long>(turns));
  const double f = turns - whole;
  return f < 0.0 ? f + 1.0 : f;
}

[[nodiscard]] inline double wave(double turns) {
  const double f = fraction_of(turns);
  const double t = f <= 0.5 ? 2.0 * f : 2.0 - 2.0 * f;
  return 1.0 - 2.0 * t * t * (3.0 - 2.0 * t);
}

[[nodiscard]] inline double wave_slope(double turns) {
  const double f = fraction_of(turns);
  const double t = f <= 0.5 ? 2.0 * f : 2.0 - 2.0 * f;
  return (f <= 0.5 ? -24.0 : 24.0) * t * (1.0 - t);
}

}  // namespace ringout::plant
