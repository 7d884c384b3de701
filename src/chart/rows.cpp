#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/check.h"
#include "chart/frame.h"
#include "chart/labels.h"

namespace ringout::chart {
namespace {

constexpr double row_pitch = 6.2;
constexpr double name_max = 62.0;
const bind::TextStyle label_style{label_size, bind::Anchor::start, bind::Weight::regular, bind::Tone::black};

// Every label once, in the order of first use: its index is its shape.
std::vector<std::string> labels_of(const RowFigure& figure) {
  std::vector<std::string> labels;
  for (const Row& row : figure.rows) {
    for (const RowMark& mark : row.marks) {
      if (std::find(labels.begin(), labels.end(), mark.label) == labels.end()) labels.push_back(mark.label);
    }
  }
  return labels;
}

// Shapes that differ in outline and filling: told apart without colour.
void draw_shape(Pen& pen, bind::Place p, std::size_t shape) {
  static constexpr const char* open = "fill=\"white\" stroke=\"#000000\" stroke-width=\"0.4\"";
  static constexpr const char* filled = "fill=\"#000000\" stroke=\"white\" stroke-width=\"0.2\"";
  switch (shape % 4) {
    case 0:
      pen.drawing.circle(p, 1.05, filled);
      return;
    case 1:
      pen.drawing.rectangle({p.x - 0.95, p.y - 0.95}, 1.9, 1.9, open);
      return;
    case 2:
      pen.drawing.path(fmt::format("M{:.3f},{:.3f} l1.25,2.2 h-2.5 Z", p.x, p.y - 1.3), filled);
      return;
    default:
      pen.drawing.path(fmt::format("M{:.3f},{:.3f} l1.3,1.3 l-1.3,1.3 l-1.3,-1.3 Z", p.x, p.y - 1.3), open);
  }
}

void draw_mark(Pen& pen, const RowMark& mark, std::size_t shape, double y, const Mapping& x) {
  if (mark.low && mark.high && x.shows(*mark.low) && x.shows(*mark.high)) {
    const double from = std::clamp(x.at(*mark.low), x.at_low, x.at_high);
    const double to = std::clamp(x.at(*mark.high), x.at_low, x.at_high);
    pen.drawing.line({from, y}, {to, y}, "stroke=\"#8c8c8c\" stroke-width=\"0.9\"");
  }
  if (!x.shows(mark.value)) return;
  const double at = x.at(mark.value);
  if (at >= x.at_low - 0.01 && at <= x.at_high + 0.01) draw_shape(pen, {at, y}, shape);
}

// What each shape means, in one line or more below the axis; returns the lower edge.
double draw_key(Pen& pen, const std::vector<std::string>& labels, double top) {
  double x = sheet::margin;
  double y = top;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const double width = bind::text_width(labels[i], label_size, bind::Weight::regular);
    if (x > sheet::margin && x + 4.0 + width > sheet::width - sheet::margin) {
      x = sheet::margin;
      y += 4.4;
    }
    draw_shape(pen, {x + 1.2, y + 1.2}, i);
    pen.text({x + 3.6, y + 2.2}, labels[i], width, label_style);
    x += 3.6 + width + 6.0;
  }
  return y + 4.4;
}

}  // namespace

Picture draw(const RowFigure& figure) {
  RINGOUT_CHECK(!figure.rows.empty());
  Extent extent;
  double names = 0.0;
  for (const Row& row : figure.rows) {
    names = std::max(names, bind::text_width(row.name, label_size, bind::Weight::regular));
    for (const RowMark& mark : row.marks) {
      extent.include(mark.value, figure.x.scale);
      if (mark.low) extent.include(*mark.low, figure.x.scale);
      if (mark.high) extent.include(*mark.high, figure.x.scale);
    }
  }
  for (const Level& level : figure.levels) extent.include(level.value, figure.x.scale);
  const Ticks ticks = ticks_for(figure.x, extent, 8);

  Pen pen;
  const double left = sheet::margin + std::min(names, name_max) + 3.0;
  const double right = sheet::width - sheet::margin - 3.0;
  const double top = draw_title(pen, figure.title) + 5.0 + vertical_strip(figure.levels);
  const Box plot{left, top, right, top + row_pitch * static_cast<double>(figure.rows.size())};
  const Mapping x = mapping(figure.x, ticks, left, right);
  draw_x_axis(pen, plot, ticks, x, Labelled::yes, caption_of(figure.x));
  draw_vertical_levels(pen, figure.levels, plot, x);
  const auto labels = labels_of(figure);
  double y = plot.top + row_pitch / 2.0;
  for (const Row& row : figure.rows) {
    pen.drawing.line({left, y}, {right, y}, fine_hair);
    pen.text({sheet::margin, y + 0.37 * label_size}, row.name, std::min(names, name_max), label_style);
    for (const RowMark& mark : row.marks) {
      const auto shape = std::find(labels.begin(), labels.end(), mark.label) - labels.begin();
      draw_mark(pen, mark, static_cast<std::size_t>(shape), y, x);
    }
    y += row_pitch;
  }
  pen.drawing.rectangle({left, plot.top}, right - left, plot.bottom - plot.top, frame_line);
  const double key = draw_key(pen, labels, plot.bottom + 11.5);
  return finished(pen, figure.title, figure.note, key + 1.0);
}

}  // namespace ringout::chart
