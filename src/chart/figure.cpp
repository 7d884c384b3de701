#include <algorithm>

#include "base/check.h"
#include "chart/panel.h"

namespace ringout::chart {
namespace {

constexpr int x_ticks = 8;
constexpr double between_panels = 9.5;  // the caption of the next one stands in it

void include(Extent& x, Extent& y, const Axis& x_axis, const Axis& y_axis, Point p) {
  x.include(p.x, x_axis.scale);
  y.include(p.y, y_axis.scale);
}

void include_panel(Extent& x, Extent& y, const Axis& x_axis, const Panel& panel) {
  for (const Curve& curve : panel.curves) {
    for (const Point& p : curve.points) include(x, y, x_axis, panel.y, p);
  }
  for (const Band& band : panel.bands) {
    for (const BandPoint& p : band.points) {
      include(x, y, x_axis, panel.y, {p.x, p.low});
      y.include(p.high, panel.y.scale);
    }
  }
  for (const Mark& mark : panel.marks) {
    const double room = panel.y.scale == Scale::linear && mark.at.y > 0.0 ? 1.12 : 1.0;  // for its label above it
    include(x, y, x_axis, panel.y, {mark.at.x, mark.at.y * room});
  }
  for (const Level& level : panel.levels) {
    if (level.direction == Direction::horizontal) y.include(level.value, panel.y.scale);
    if (level.direction == Direction::vertical) x.include(level.value, x_axis.scale);
  }
}

double widest_label(const Ticks& ticks) {
  double width = 0.0;
  for (const Tick& tick : ticks.ticks) {
    width = std::max(width, bind::text_width(tick.label, label_size, bind::Weight::regular));
  }
  return width;
}

void draw_y_axis(Pen& pen, const PanelOnPaper& at, const Ticks& ticks, const std::string& caption, double strip) {
  for (const Tick& tick : ticks.ticks) {
    const double y = at.y.at(tick.value);
    pen.drawing.line({at.plot.left, y}, {at.plot.right, y}, tick.label.empty() ? fine_hair : hair);
    if (tick.label.empty()) continue;
    pen.drawing.line({at.plot.left - 1.0, y}, {at.plot.left, y}, frame_line);
    pen.text({at.plot.left - 1.8, y + 0.37 * label_size}, tick.label, at.plot.left - sheet::margin,
             {label_size, bind::Anchor::end, bind::Weight::regular, bind::Tone::black});
  }
  pen.text({sheet::margin, at.plot.top - 2.6 - strip}, caption, at.plot.right - sheet::margin,
           {label_size, bind::Anchor::start, bind::Weight::regular, bind::Tone::black});
}

}  // namespace

Picture draw(const Figure& figure) {
  RINGOUT_CHECK(!figure.panels.empty());
  Extent x_extent;
  std::vector<Ticks> y_ticks;
  double labels_left = 0.0;
  double labels_right = 0.0;
  for (const Panel& panel : figure.panels) {
    Extent y_extent;
    include_panel(x_extent, y_extent, figure.x, panel);
    y_ticks.push_back(ticks_for(panel.y, y_extent, panel.height > 50.0 ? 7 : 4));
    labels_left = std::max(labels_left, widest_label(y_ticks.back()));
    labels_right = std::max(labels_right, column_width(panel));
  }
  const Ticks x_ticks_of = ticks_for(figure.x, x_extent, x_ticks);
  const double left = sheet::margin + labels_left + 2.2;
  const double right = sheet::width - sheet::margin - std::max(labels_right, 3.0);

  Pen pen;
  double top = draw_title(pen, figure.title) + 9.0;
  for (std::size_t i = 0; i < figure.panels.size(); ++i) {
    const Panel& panel = figure.panels[i];
    const bool last = i + 1 == figure.panels.size();
    const double strip = vertical_strip(panel.levels);
    top += strip;
    const Box plot{left, top, right, top + std::max(panel.height, column_height(panel) + 1.0)};
    const PanelOnPaper at{plot, mapping(figure.x, x_ticks_of, left, right),
                          mapping(panel.y, y_ticks[i], plot.bottom, plot.top)};
    draw_x_axis(pen, plot, x_ticks_of, at.x, last ? Labelled::yes : Labelled::no, caption_of(figure.x));
    draw_y_axis(pen, at, y_ticks[i], caption_of(panel.y), strip);
    draw_content(pen, panel, at);
    pen.drawing.rectangle({left, plot.top}, right - left, plot.bottom - plot.top, frame_line);
    top = plot.bottom + between_panels;
  }
  return finished(pen, figure.title, figure.note, top + 2.6);
}

}  // namespace ringout::chart
