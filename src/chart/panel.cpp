#include "chart/panel.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace ringout::chart {
namespace {

using bind::Place;

const bind::TextStyle label_style{label_size, bind::Anchor::start, bind::Weight::regular, bind::Tone::black};

std::vector<std::string> column_lines(const std::string& label) {
  return broken_lines(label, sheet::label_max, label_size);
}

// The labels that stand in the column, in the order in which the lines are drawn.
std::vector<const std::string*> column_texts(const Panel& panel) {
  std::vector<const std::string*> texts;
  for (const Band& band : panel.bands) texts.push_back(&band.label);
  for (const Curve& curve : panel.curves) texts.push_back(&curve.label);
  for (const Level& level : panel.levels) {
    if (level.direction == Direction::horizontal) texts.push_back(&level.label);
  }
  for (const Mark& mark : panel.marks) texts.push_back(&mark.label);  // where the plot has no room for it
  std::erase_if(texts, [](const std::string* text) { return text->empty(); });
  return texts;
}

// A line's pieces within the plot; points that the axes cannot show part it.
std::vector<Places> visible(const std::vector<Point>& points, const PanelOnPaper& at) {
  std::vector<Places> pieces;
  Places run;
  const auto flush = [&] {
    for (auto& piece : clipped_line(run, at.plot)) pieces.push_back(std::move(piece));
    run.clear();
  };
  for (const Point& p : points) {
    if (at.x.shows(p.x) && at.y.shows(p.y)) {
      run.push_back({at.x.at(p.x), at.y.at(p.y)});
    } else {
      flush();
    }
  }
  flush();
  return pieces;
}

// A bound on paper; one that the axis cannot show stands beyond the edge.
double bound(double value, const Mapping& y, double beyond) {
  return y.shows(value) ? y.at(value) : beyond;
}

void draw_band(Pen& pen, const Band& band, const PanelOnPaper& at, std::vector<ColumnLabel>& column) {
  Places area;
  std::vector<Place> upper;
  for (const BandPoint& p : band.points) {
    if (!at.x.shows(p.x)) continue;
    area.push_back({at.x.at(p.x), bound(p.low, at.y, at.plot.bottom + 10.0)});
    upper.push_back({at.x.at(p.x), bound(p.high, at.y, at.plot.top - 10.0)});
  }
  Places lower = area;
  area.insert(area.end(), upper.rbegin(), upper.rend());
  const Places inside = clipped_area(area, at.plot);
  if (inside.size() < 3) return;
  std::string d = "M";
  for (const Place& p : inside) d += fmt::format("{:.3f},{:.3f} ", p.x, p.y);
  pen.drawing.path(d + "Z", band_fill);
  for (const Places& edge : {lower, Places(upper)}) {
    for (const auto& piece : clipped_line(edge, at.plot)) pen.drawing.polyline(piece, thin);
  }
  const double right = std::max_element(inside.begin(), inside.end(), [](Place a, Place b) { return a.x < b.x; })->x;
  double top = at.plot.bottom;
  double bottom = at.plot.top;
  for (const Place& p : inside) {
    if (p.x < right - 0.01) continue;
    top = std::min(top, p.y);
    bottom = std::max(bottom, p.y);
  }
  if (!band.label.empty()) column.push_back({column_lines(band.label), {right, (top + bottom) / 2.0}, band_fill, true});
}

void draw_horizontal_levels(Pen& pen, const Panel& panel, const PanelOnPaper& at, std::vector<ColumnLabel>& column,
                            Surroundings& around) {
  for (const Level& level : panel.levels) {
    if (level.direction != Direction::horizontal || !at.y.shows(level.value)) continue;
    const double y = at.y.at(level.value);
    if (y < at.plot.top || y > at.plot.bottom) continue;
    const Places line{{at.plot.left, y}, {at.plot.right, y}};
    pen.drawing.polyline(line, level_line);
    around.lines.push_back(line);
    if (!level.label.empty()) column.push_back({column_lines(level.label), line.back(), level_line, false});
  }
}

void draw_curves(Pen& pen, const Panel& panel, const PanelOnPaper& at, std::vector<ColumnLabel>& column,
                 Surroundings& around) {
  for (std::size_t n = 0; n < panel.curves.size(); ++n) {
    const Curve& curve = panel.curves[n];
    const auto pieces = visible(curve.points, at);
    for (const auto& piece : pieces) {
      pen.drawing.polyline(piece, curve_style(n));
      around.lines.push_back(piece);
    }
    if (pieces.empty() || curve.label.empty()) continue;
    const Place begin = pieces.front().front();
    const Place end = pieces.back().back();
    column.push_back({column_lines(curve.label), begin.x > end.x ? begin : end, curve_style(n), false});
  }
}

void draw_column(Pen& pen, const std::vector<ColumnLabel>& column, const PanelOnPaper& at) {
  std::vector<double> wanted;
  std::vector<double> heights;
  for (const auto& label : column) {
    wanted.push_back(label.end.y);
    heights.push_back(extents_of(label.lines, label_size).height);
  }
  const double room = at.plot.bottom - at.plot.top;
  const double more = std::max(0.0, spread_height(heights, sheet::gap) - room);
  const auto tops = spread(wanted, heights, at.plot.top - more / 2.0, at.plot.bottom + more / 2.0, sheet::gap);
  const double sample = at.plot.right + sheet::leader;
  for (std::size_t i = 0; i < column.size(); ++i) {
    const double middle = tops[i] + heights[i] / 2.0;
    pen.drawing.polyline({column[i].end, {sample, middle}}, thin);
    if (column[i].is_area) {
      pen.drawing.rectangle({sample, middle - 1.2}, sheet::sample, 2.4, column[i].sample_style);
    } else {
      pen.drawing.polyline({{sample, middle}, {sample + sheet::sample, middle}}, column[i].sample_style);
    }
    pen.block({sample + sheet::sample + 1.2, tops[i]}, column[i].lines, sheet::label_max + 1.0, label_style);
  }
}

constexpr double mark_radius = 0.9;

struct PlacedMark {
  Place at;
  std::vector<std::string> lines;  // none: its label stands in the column
  Box box = {};
};

// Each mark's label near its point within the plot, or in the column where no place there is free.
std::vector<PlacedMark> place_marks(const Panel& panel, const PanelOnPaper& at, std::vector<ColumnLabel>& column,
                                    Surroundings& around) {
  for (const Mark& mark : panel.marks) {
    for (const Place& p : on_paper({mark.at}, at)) {
      around.taken.push_back({p.x - mark_radius, p.y - mark_radius, p.x + mark_radius, p.y + mark_radius});
    }
  }
  std::vector<PlacedMark> placed;
  for (const Mark& mark : panel.marks) {
    const Places place = on_paper({mark.at}, at);
    if (place.empty() || !at.plot.contains({place[0].x, place[0].y, place[0].x, place[0].y})) continue;
    PlacedMark one{place[0], broken_lines(mark.label, sheet::label_max, label_size)};
    const Extents size = extents_of(one.lines, label_size);
    const NearLabel near = place_near(place, {size.width + 0.8, size.height + 0.4}, around);
    if (near.found) {
      one.box = near.box;
      around.taken.push_back(near.box);
    } else if (!mark.label.empty()) {
      column.push_back({column_lines(mark.label), one.at, thin, false});
      one.lines.clear();
    }
    placed.push_back(std::move(one));
  }
  return placed;
}

// With a leader where the label had to go far.
void draw_mark(Pen& pen, const PlacedMark& mark) {
  if (!mark.lines.empty()) {
    const Box& box = mark.box;
    const Place nearest{std::clamp(mark.at.x, box.left, box.right), std::clamp(mark.at.y, box.top, box.bottom)};
    if (std::hypot(nearest.x - mark.at.x, nearest.y - mark.at.y) > 3.2) pen.drawing.polyline({mark.at, nearest}, thin);
    pen.drawing.rectangle({box.left, box.top}, box.right - box.left, box.bottom - box.top, halo);
    pen.block({box.left + 0.4, box.top + 0.2}, mark.lines, box.right - box.left - 0.3, label_style);
  }
  pen.drawing.circle(mark.at, mark_radius, "fill=\"#000000\" stroke=\"white\" stroke-width=\"0.35\"");
}

}  // namespace

Places on_paper(const std::vector<Point>& points, const PanelOnPaper& at) {
  Places out;
  for (const Point& p : points) {
    if (at.x.shows(p.x) && at.y.shows(p.y)) out.push_back({at.x.at(p.x), at.y.at(p.y)});
  }
  return out;
}

double column_height(const Panel& panel) {
  std::vector<double> heights;
  for (const std::string* text : column_texts(panel)) {
    heights.push_back(extents_of(column_lines(*text), label_size).height);
  }
  return spread_height(heights, sheet::gap);
}

double column_width(const Panel& panel) {
  double width = 0.0;
  for (const std::string* text : column_texts(panel)) {
    width = std::max(width, extents_of(column_lines(*text), label_size).width);
  }
  return width > 0.0 ? sheet::leader + sheet::sample + 1.2 + width + 0.5 : 0.0;
}

void draw_content(Pen& pen, const Panel& panel, const PanelOnPaper& at) {
  std::vector<ColumnLabel> column;
  Surroundings around{at.plot, {}, {}};
  for (const Band& band : panel.bands) draw_band(pen, band, at, column);
  draw_horizontal_levels(pen, panel, at, column, around);
  draw_vertical_levels(pen, panel.levels, at.plot, at.x);
  for (const Level& level : panel.levels) {
    if (level.direction != Direction::vertical || !at.x.shows(level.value)) continue;
    const double x = at.x.at(level.value);
    around.lines.push_back({{x, at.plot.top}, {x, at.plot.bottom}});
  }
  draw_curves(pen, panel, at, column, around);
  const std::vector<PlacedMark> marks = place_marks(panel, at, column, around);
  draw_column(pen, column, at);
  for (const PlacedMark& mark : marks) draw_mark(pen, mark);
}

}  // namespace ringout::chart
