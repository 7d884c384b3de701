#include "chart/clip.h"

#include <algorithm>
#include <optional>
#include <utility>

namespace ringout::chart {
namespace {

using bind::Place;
using Segment = std::pair<Place, Place>;

std::optional<Segment> clipped(Place a, Place b, const Box& box) {
  const double dx = b.x - a.x;
  const double dy = b.y - a.y;
  double begin = 0.0;
  double end = 1.0;
  const std::pair<double, double> sides[] = {
      {-dx, a.x - box.left}, {dx, box.right - a.x}, {-dy, a.y - box.top}, {dy, box.bottom - a.y}};
  for (const auto& [p, q] : sides) {
    if (p == 0.0) {
      if (q < 0.0) return std::nullopt;
    } else if (p < 0.0) {
      begin = std::max(begin, q / p);
    } else {
      end = std::min(end, q / p);
    }
  }
  if (begin > end) return std::nullopt;
  return Segment{{a.x + begin * dx, a.y + begin * dy}, {a.x + end * dx, a.y + end * dy}};
}

bool same(Place a, Place b) {
  return a.x == b.x && a.y == b.y;
}

// Signed distance from one side of the box, positive within.
double within(Place p, const Box& box, int side) {
  switch (side) {
    case 0:
      return p.x - box.left;
    case 1:
      return box.right - p.x;
    case 2:
      return p.y - box.top;
    default:
      return box.bottom - p.y;
  }
}

}  // namespace

std::vector<Places> clipped_line(const Places& line, const Box& box) {
  std::vector<Places> out;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const auto piece = clipped(line[i - 1], line[i], box);
    if (!piece || same(piece->first, piece->second)) continue;
    const bool goes_on = !out.empty() && same(out.back().back(), piece->first);
    if (!goes_on) out.push_back({piece->first});
    out.back().push_back(piece->second);
  }
  return out;
}

Places clipped_area(const Places& area, const Box& box) {
  Places polygon = area;
  for (int side = 0; side < 4; ++side) {
    Places kept;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
      const Place a = polygon[i];
      const Place b = polygon[(i + 1) % polygon.size()];
      const double at_a = within(a, box, side);
      const double at_b = within(b, box, side);
      if (at_a >= 0.0) kept.push_back(a);
      if ((at_a >= 0.0) != (at_b >= 0.0)) {
        const double t = at_a / (at_a - at_b);
        kept.push_back({a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)});
      }
    }
    polygon = std::move(kept);
  }
  return polygon;
}

bool crosses(Place a, Place b, const Box& box) {
  return clipped(a, b, box).has_value();
}

}  // namespace ringout::chart
