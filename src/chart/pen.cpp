#include "chart/pen.h"

#include <fmt/format.h>

#include <algorithm>

namespace ringout::chart {
namespace {

// DejaVu Sans, capitals and ascenders above the baseline, descenders below it, over the font's height.
constexpr double above = 0.77;
constexpr double below = 0.24;

}  // namespace

std::string curve_style(std::size_t n) {
  // Colours of M. Okabe and K. Ito's palette for all kinds of colour vision (2008), darkened where print wants it.
  static constexpr struct {
    const char* colour;
    const char* dashes;
  } styles[] = {{"#000000", "none"},        {"#0060a0", "3.2 1.3"}, {"#b84a00", "0.9 0.9"},
                {"#007a58", "4.5 1 0.9 1"}, {"#8a3d78", "6.5 1.6"}, {"#555555", "2 0.8 0.7 0.8 0.7 0.8"}};
  const auto& style = styles[n % std::size(styles)];
  return fmt::format(
      "fill=\"none\" stroke=\"{}\" stroke-width=\"0.5\" stroke-dasharray=\"{}\" "
      "stroke-linejoin=\"round\"",
      style.colour, style.dashes);
}

std::vector<std::string> broken_lines(std::string_view text, double width, double size, bind::Weight weight) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t space = text.find(' ');
    const std::string word(text.substr(0, space));
    text = space == std::string_view::npos ? std::string_view() : text.substr(space + 1);
    if (!lines.empty() && bind::text_width(lines.back() + " " + word, size, weight) <= width) {
      lines.back() += " " + word;
    } else {
      lines.push_back(word);
    }
  }
  return lines;
}

Extents extents_of(const std::vector<std::string>& lines, double size) {
  Extents out;
  for (const auto& line : lines) {
    out.width = std::max(out.width, bind::text_width(line, size, bind::Weight::regular));
  }
  if (!lines.empty()) {
    out.height = (static_cast<double>(lines.size() - 1) * line_pitch + above + below) * size;
  }
  return out;
}

Box Pen::text(bind::Place baseline, std::string_view text, double width, bind::TextStyle style) {
  if (text.empty()) return {baseline.x, baseline.y, baseline.x, baseline.y};
  drawing.text(baseline, text, width, style);
  const double taken = std::min(width, bind::text_width(text, style.size, style.weight));
  const double left = style.anchor == bind::Anchor::start    ? baseline.x
                      : style.anchor == bind::Anchor::middle ? baseline.x - taken / 2.0
                                                             : baseline.x - taken;
  texts_.push_back(
      {std::string(text), {left, baseline.y - above * style.size, left + taken, baseline.y + below * style.size}});
  return texts_.back().box;
}

Box Pen::block(bind::Place corner, const std::vector<std::string>& lines, double width, bind::TextStyle style) {
  Box box{corner.x, corner.y, corner.x, corner.y};
  double baseline = corner.y + above * style.size;
  for (const auto& line : lines) {
    const Box set = text({corner.x, baseline}, line, width, style);
    box.right = std::max(box.right, set.right);
    box.bottom = set.bottom;
    baseline += line_pitch * style.size;
  }
  return box;
}

}  // namespace ringout::chart
