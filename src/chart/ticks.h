// Where an axis has its ticks, and what is written at them.
#pragma once

#include <string>
#include <vector>

#include "chart/figure.h"

namespace ringout::chart {

struct Tick {
  double value = 0.0;
  std::string label;  // empty: a minor tick
};

struct Ticks {
  double low = 0.0;  // ends of the axis
  double high = 1.0;
  std::vector<Tick> ticks;  // rising, all within the ends
};

// What is drawn along an axis; starts empty.
struct Extent {
  double low = 0.0;
  double high = 0.0;
  bool empty = true;
  void include(double value, Scale scale);  // ignores what the scale cannot show
};

// Linear: steps of 1, 2 or 5 times a power of ten, about `wanted` of them, ends rounded out to the next step unless the
// axis fixes them. Logarithmic: one tick a decade (1, 2, 5 where the axis has less than two and a half), minor ticks
// between, ends rounded out to 1, 2 or 5.
[[nodiscard]] Ticks ticks_for(const Axis& axis, const Extent& extent, int wanted);

// Plain digits with no more decimals than the step needs: "0.05", "20", "5000".
[[nodiscard]] std::string tick_label(double value, double step);

}  // namespace ringout::chart
