// Line charts as values: panels that share one horizontal axis, each with curves, interval bands, marks and limits.
// Every curve is told from the others by its own label at its end and by its dashes; colour only helps. Drawing is in
// svg.h.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace ringout::chart {

enum class Scale { linear, logarithmic };

struct Axis {
  std::string quantity;  // "motor current"
  std::string unit;      // "A"; empty for a pure number
  Scale scale = Scale::linear;
  std::optional<double> from = {};  // else from what is drawn: a linear axis includes zero
  std::optional<double> to = {};
};

struct Point {
  double x = 0.0;
  double y = 0.0;
};

// Points that are not finite, or not positive on a logarithmic axis, end the line; it goes on behind them.
struct Curve {
  std::string label;
  std::vector<Point> points;
};

// What lies between a lower and an upper bound; an upper bound may be infinite. Drawn grey, with both edges.
struct BandPoint {
  double x = 0.0;
  double low = 0.0;
  double high = 0.0;
};
struct Band {
  std::string label;
  std::vector<BandPoint> points;
};

// A point with a name: "operating point: 6.1 A".
struct Mark {
  std::string label;
  Point at;
};

// A horizontal or vertical line across the panel: a limit, a rating.
enum class Direction { horizontal, vertical };
struct Level {
  std::string label;
  double value = 0.0;
  Direction direction = Direction::horizontal;
};

struct Panel {
  Axis y;
  std::vector<Curve> curves = {};
  std::vector<Band> bands = {};
  std::vector<Mark> marks = {};
  std::vector<Level> levels = {};
  double height = 70.0;  // mm, of the plotted area
};

struct Figure {
  std::string title;
  std::string note = {};  // assumption and source
  Axis x;
  std::vector<Panel> panels = {};  // at least one
};

// One row a name: values on a common horizontal axis, for things that have no order ("voltage in each load case").
struct RowMark {
  std::string label;  // explained once, below the rows
  double value = 0.0;
  std::optional<double> low = {};  // both or neither: an interval about the value
  std::optional<double> high = {};
};
struct Row {
  std::string name;
  std::vector<RowMark> marks;
};
struct RowFigure {
  std::string title;
  std::string note = {};
  Axis x;
  std::vector<Row> rows = {};      // at least one; marks of one label have one shape in all rows
  std::vector<Level> levels = {};  // vertical ones
};

}  // namespace ringout::chart
