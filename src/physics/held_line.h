// A table read off: linear between its points, held beyond its ends.
#pragma once

#include <cstddef>
#include <span>

namespace ringout::physics {

// At least one point; at(point), a number, rises along the table.
template <class Point, class At, class Value>
[[nodiscard]] auto held_line(std::span<const Point> table, double x, At at, Value value) {
  if (x <= at(table.front())) return value(table.front());
  for (std::size_t n = 1; n < table.size(); ++n) {
    const Point& low = table[n - 1];
    const Point& high = table[n];
    if (x > at(high)) continue;
    return value(low) + (value(high) - value(low)) * ((x - at(low)) / (at(high) - at(low)));
  }
  return value(table.back());
}

}  // namespace ringout::physics
