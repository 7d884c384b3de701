// What both kinds of figure share: the sheet, its title and note, axes.
#pragma once

#include <string>
#include <vector>

#include "chart/figure.h"
#include "chart/pen.h"
#include "chart/svg.h"
#include "chart/ticks.h"

namespace ringout::chart {

namespace sheet {
constexpr double width = 180.0;
constexpr double margin = 7.0;
constexpr double title_size = 4.0;
constexpr double note_size = 2.4;
constexpr double gap = 1.2;         // between labels of the column
constexpr double leader = 4.0;      // from the plot to the column's samples
constexpr double sample = 6.0;      // a short piece of the line before its label
constexpr double label_max = 44.0;  // width of the column's texts
}  // namespace sheet

constexpr const char* hair = "stroke=\"#c4c4c4\" stroke-width=\"0.15\"";
constexpr const char* fine_hair = "stroke=\"#e2e2e2\" stroke-width=\"0.1\"";
constexpr const char* thin = "fill=\"none\" stroke=\"#777777\" stroke-width=\"0.2\"";
constexpr const char* frame_line = "fill=\"none\" stroke=\"#333333\" stroke-width=\"0.25\"";
constexpr const char* level_line =
    "fill=\"none\" stroke=\"#333333\" stroke-width=\"0.35\" stroke-dasharray=\"0.4 0.9\" stroke-linecap=\"round\"";
constexpr const char* band_fill = "fill=\"#8c8c8c\" fill-opacity=\"0.28\" stroke=\"none\"";
constexpr const char* halo = "fill=\"white\" fill-opacity=\"0.82\"";

// From values to paper along one axis.
struct Mapping {
  Scale scale = Scale::linear;
  double low = 0.0;
  double high = 1.0;
  double at_low = 0.0;  // mm
  double at_high = 1.0;
  [[nodiscard]] double at(double value) const;
  [[nodiscard]] bool shows(double value) const;  // finite, and positive where logarithmic
};
[[nodiscard]] Mapping mapping(const Axis& axis, const Ticks& ticks, double at_low, double at_high);

// "motor current in A"; the quantity alone where it has no unit.
[[nodiscard]] std::string caption_of(const Axis& axis);

// Title at the top of the sheet; returns where the rest may begin.
[[nodiscard]] double draw_title(Pen& pen, const std::string& title);
// Grid lines and labels; `labelled` says whether this plot carries the axis' labels.
enum class Labelled { no, yes };
void draw_x_axis(Pen& pen, const Box& plot, const Ticks& ticks, const Mapping& map, Labelled labelled,
                 const std::string& caption);
// Vertical lines go up into a strip above the plot, where each has a line of its own for its label.
[[nodiscard]] double vertical_strip(const std::vector<Level>& levels);  // its height
void draw_vertical_levels(Pen& pen, const std::vector<Level>& levels, const Box& plot, const Mapping& x);
// Note below `top`, sheet closed below it.
[[nodiscard]] Picture finished(Pen& pen, const std::string& title, const std::string& note, double top);

}  // namespace ringout::chart
