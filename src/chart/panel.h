// One panel on paper: its mappings, what is drawn in it, and the labels of its column.
#pragma once

#include <string>
#include <vector>

#include "chart/figure.h"
#include "chart/frame.h"
#include "chart/labels.h"

namespace ringout::chart {

// A label of the column: the line's end that it belongs to, and how its sample is drawn.
struct ColumnLabel {
  std::vector<std::string> lines;
  bind::Place end;
  std::string sample_style;
  bool is_area = false;
};

struct PanelOnPaper {
  Box plot;
  Mapping x;
  Mapping y;
};

[[nodiscard]] Places on_paper(const std::vector<Point>& points, const PanelOnPaper& at);
// Heights of the panel's column of labels, to make the panel high enough.
[[nodiscard]] double column_height(const Panel& panel);
[[nodiscard]] double column_width(const Panel& panel);

// Bands, levels, curves, marks and all labels; axes are drawn before.
void draw_content(Pen& pen, const Panel& panel, const PanelOnPaper& at);

}  // namespace ringout::chart
