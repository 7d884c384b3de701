#include "chart/labels.h"

#include <algorithm>
#include <limits>
#include <numeric>

namespace ringout::chart {
namespace {

using bind::Place;

// A label's corner relative to its anchor: which part of its own width and height stands left of and above it, and in
// which direction it keeps its distance.
struct Side {
  double of_width;
  double of_height;
  double dx;
  double dy;
};
constexpr Side sides[] = {{0, 1, 1, -1}, {0, 0, 1, 1},     {1, 1, -1, -1},
                          {1, 0, -1, 1}, {0, 0.5, 1.4, 0}, {1, 0.5, -1.4, 0}};

double crossings(const Box& box, const std::vector<Places>& lines) {
  double count = 0.0;
  for (const auto& line : lines) {
    for (std::size_t i = 1; i < line.size(); ++i) {
      if (crosses(line[i - 1], line[i], box)) {
        count += 1.0;
        break;
      }
    }
  }
  return count;
}

}  // namespace

double spread_height(const std::vector<double>& heights, double gap) {
  return std::accumulate(heights.begin(), heights.end(), 0.0) +
         gap * static_cast<double>(heights.empty() ? 0 : heights.size() - 1);
}

std::vector<double> spread(const std::vector<double>& wanted, const std::vector<double>& heights, double top,
                           double bottom, double gap) {
  std::vector<std::size_t> order(wanted.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });
  std::vector<double> tops(wanted.size());
  double free_from = top;
  for (const std::size_t i : order) {
    tops[i] = std::max(free_from, wanted[i] - heights[i] / 2.0);
    free_from = tops[i] + heights[i] + gap;
  }
  double free_to = bottom;
  for (auto i = order.rbegin(); i != order.rend(); ++i) {
    tops[*i] = std::min(tops[*i], free_to - heights[*i]);
    free_to = tops[*i] - gap;
  }
  return tops;
}

NearLabel place_near(const Places& anchors, Extents size, const Surroundings& around) {
  NearLabel best;
  double best_cost = std::numeric_limits<double>::infinity();
  double anchor_cost = 0.0;
  for (const Place& anchor : anchors) {
    for (const double distance : {1.4, 3.0, 6.0, 10.0, 15.0, 21.0}) {
      double side_cost = 0.0;
      for (const Side& side : sides) {
        const double left = anchor.x - side.of_width * size.width + side.dx * distance;
        const double top = anchor.y - side.of_height * size.height + side.dy * distance;
        const Box box{left, top, left + size.width, top + size.height};
        side_cost += 0.1;
        if (!around.within.contains(box)) continue;
        if (std::any_of(around.taken.begin(), around.taken.end(), [&](const Box& b) { return b.overlaps(box); })) {
          continue;
        }
        const double cost = 6.0 * crossings(box, around.lines) + 0.5 * distance + side_cost + anchor_cost;
        if (cost >= best_cost) continue;
        best_cost = cost;
        best = {box, true};
      }
    }
    anchor_cost += 0.8;
  }
  return best;
}

}  // namespace ringout::chart
