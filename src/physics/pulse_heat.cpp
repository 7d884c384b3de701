#include "physics/pulse_heat.h"

#include <array>

#include "base/check.h"

namespace ringout::physics {
namespace {

double shape_factor(PulseShape shape) {
  switch (shape) {
    case PulseShape::square:
      return 1.0;
    case PulseShape::half_sine:
      return 1.0 / 2.0;
    case PulseShape::triangle:
      return 1.0 / 3.0;
    case PulseShape::parabola:
      return 1.0 / 5.0;
    case PulseShape::exponential:
      return 1.0 / 2.0;
  }
  return 1.0;
}

}  // namespace

SquaredCurrentTime pulse_i2t(PulseShape shape, Current peak, Time t) {
  RINGOUT_CHECK(peak.si >= 0.0 && t.si >= 0.0);
  return shape_factor(shape) * (peak * peak * t);
}

SquaredCurrentTime trapezoid_i2t(Current from, Current to, Time t) {
  RINGOUT_CHECK(from.si >= 0.0 && to.si >= 0.0 && t.si >= 0.0);
  return (from * from + from * to + to * to) * t / 3.0;
}

std::optional<double> pulse_withstand(double pulses) {
  struct Row {
    double pulses, share;
  };
  constexpr std::array<Row, 4> rows = {{{100, 0.48}, {1'000, 0.38}, {10'000, 0.29}, {100'000, 0.22}}};
  for (const Row& row : rows) {
    if (pulses <= row.pulses) return row.share;
  }
  return std::nullopt;
}

}  // namespace ringout::physics
