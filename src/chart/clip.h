// Lines and areas cut to the rectangle of a plot; coordinates on paper.
#pragma once

#include <vector>

#include "bind/drawing.h"

namespace ringout::chart {

struct Box {
  double left = 0.0;
  double top = 0.0;
  double right = 0.0;
  double bottom = 0.0;

  [[nodiscard]] bool overlaps(const Box& o) const {
    return left < o.right && o.left < right && top < o.bottom && o.top < bottom;
  }
  [[nodiscard]] bool contains(const Box& o) const {
    return left <= o.left && o.right <= right && top <= o.top && o.bottom <= bottom;
  }
};

using Places = std::vector<bind::Place>;

// The parts of a polyline that lie within the box, each of two points or more (Liang and Barsky, one segment a time).
[[nodiscard]] std::vector<Places> clipped_line(const Places& line, const Box& box);
// The polygon's part within the box (Sutherland and Hodgman); empty where there is none.
[[nodiscard]] Places clipped_area(const Places& area, const Box& box);
// Whether any part of the segment lies within the box.
[[nodiscard]] bool crosses(bind::Place a, bind::Place b, const Box& box);

}  // namespace ringout::chart
