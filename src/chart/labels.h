// Where labels stand: in a column beside the plot, or near a mark within it; never over one another.
#pragma once

#include <string>
#include <vector>

#include "chart/clip.h"
#include "chart/pen.h"

namespace ringout::chart {

// Tops of labels of the given heights, wanted with their middles at `wanted`, within [top, bottom], in the order given
// by `wanted`, with `gap` between them. They must fit: the sum of heights and gaps is at most bottom − top.
[[nodiscard]] std::vector<double> spread(const std::vector<double>& wanted, const std::vector<double>& heights,
                                         double top, double bottom, double gap);
[[nodiscard]] double spread_height(const std::vector<double>& heights, double gap);

// What a label within a plot has to keep clear of: texts and marks never overlap it; lines do only where no place is
// without one.
struct Surroundings {
  Box within;
  std::vector<Box> taken;
  std::vector<Places> lines;
};
struct NearLabel {
  Box box;
  bool found = false;  // false: no place that is free of texts
};
// The best place near one of the anchors, the earlier ones preferred.
[[nodiscard]] NearLabel place_near(const Places& anchors, Extents size, const Surroundings& around);

}  // namespace ringout::chart
