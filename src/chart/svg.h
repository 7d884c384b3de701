// Draws charts as SVG, 180 mm wide, in black, dashes and a few safe colours on white: meant for print and screen alike.
#pragma once

#include <string>
#include <vector>

#include "chart/figure.h"
#include "chart/pen.h"

namespace ringout::chart {

struct Picture {
  std::string svg;
  double width = 0.0;  // mm
  double height = 0.0;
  std::vector<TextBox> texts;  // every text with the room it takes
};

// At least one panel with something to show in each; at least one row.
[[nodiscard]] Picture draw(const Figure& figure);
[[nodiscard]] Picture draw(const RowFigure& figure);

}  // namespace ringout::chart
