#include "chart/frame.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace ringout::chart {
namespace {

constexpr double strip_pitch = 4.0;

}  // namespace

double Mapping::at(double value) const {
  const double part =
      scale == Scale::linear ? (value - low) / (high - low) : std::log(value / low) / std::log(high / low);
  return at_low + part * (at_high - at_low);
}

bool Mapping::shows(double value) const {
  return std::isfinite(value) && (scale == Scale::linear || value > 0.0);
}

Mapping mapping(const Axis& axis, const Ticks& ticks, double at_low, double at_high) {
  return {axis.scale, ticks.low, ticks.high, at_low, at_high};
}

std::string caption_of(const Axis& axis) {
  return axis.unit.empty() ? axis.quantity : axis.quantity + " in " + axis.unit;
}

double draw_title(Pen& pen, const std::string& title) {
  const double width = sheet::width - 2.0 * sheet::margin;
  const bind::TextStyle style{sheet::title_size, bind::Anchor::start, bind::Weight::bold, bind::Tone::black};
  const auto lines = broken_lines(title, width, style.size, style.weight);
  return pen.block({sheet::margin, sheet::margin}, lines, width, style).bottom;
}

void draw_x_axis(Pen& pen, const Box& plot, const Ticks& ticks, const Mapping& map, Labelled labelled,
                 const std::string& caption) {
  const bind::TextStyle style{label_size, bind::Anchor::middle, bind::Weight::regular, bind::Tone::black};
  double free_from = 0.0;
  for (const Tick& tick : ticks.ticks) {
    const double x = map.at(tick.value);
    pen.drawing.line({x, plot.top}, {x, plot.bottom}, tick.label.empty() ? fine_hair : hair);
    if (labelled == Labelled::no || tick.label.empty()) continue;
    const double half = bind::text_width(tick.label, style.size, style.weight) / 2.0;
    pen.drawing.line({x, plot.bottom}, {x, plot.bottom + 1.0}, frame_line);
    if (x - half < free_from) continue;
    pen.text({x, plot.bottom + 4.0}, tick.label, 2.0 * half, style);
    free_from = x + half + 1.0;
  }
  if (labelled == Labelled::no) return;
  bind::TextStyle end = style;
  end.anchor = bind::Anchor::end;
  pen.text({plot.right, plot.bottom + 8.4}, caption, plot.right - sheet::margin, end);
}

double vertical_strip(const std::vector<Level>& levels) {
  const auto count = std::count_if(levels.begin(), levels.end(),
                                   [](const Level& level) { return level.direction == Direction::vertical; });
  return strip_pitch * static_cast<double>(count);
}

void draw_vertical_levels(Pen& pen, const std::vector<Level>& levels, const Box& plot, const Mapping& x) {
  // From left to right, so that no line goes up through the label of one to its left; a halo for those set to the left.
  std::vector<Level> sorted;
  std::copy_if(levels.begin(), levels.end(), std::back_inserter(sorted),
               [](const Level& level) { return level.direction == Direction::vertical; });
  std::stable_sort(sorted.begin(), sorted.end(), [](const Level& a, const Level& b) { return a.value < b.value; });
  double y = plot.top - vertical_strip(levels) + 2.2;
  for (const Level& level : sorted) {
    const double baseline = y;
    y += strip_pitch;
    const double at = x.shows(level.value) ? x.at(level.value) : plot.left - 1.0;
    if (at < plot.left || at > plot.right) continue;
    const double width = bind::text_width(level.label, label_size, bind::Weight::regular);
    const bool to_the_left = at + 1.2 + width > sheet::width - sheet::margin;
    pen.drawing.line({at, baseline - 1.8}, {at, plot.bottom}, level_line);
    const bind::TextStyle style{label_size, to_the_left ? bind::Anchor::end : bind::Anchor::start,
                                bind::Weight::regular, bind::Tone::black};
    pen.drawing.rectangle({to_the_left ? at - 1.4 - width : at + 0.9, baseline - 2.2}, width + 0.5, 3.0, halo);
    pen.text({to_the_left ? at - 1.2 : at + 1.2, baseline}, level.label, width, style);
  }
}

Picture finished(Pen& pen, const std::string& title, const std::string& note, double top) {
  const double width = sheet::width - 2.0 * sheet::margin;
  const bind::TextStyle style{sheet::note_size, bind::Anchor::start, bind::Weight::regular, bind::Tone::grey};
  double bottom = top;
  if (!note.empty()) {
    bottom = pen.block({sheet::margin, top}, broken_lines(note, width, style.size), width, style).bottom;
  }
  const double height = std::ceil(bottom + sheet::margin);
  static constexpr const char* fonts = "text{font-family:'DejaVu Sans',Verdana,Arial,sans-serif}";
  return {pen.drawing.svg(sheet::width, height, title, fonts), sheet::width, height, pen.texts()};
}

}  // namespace ringout::chart
