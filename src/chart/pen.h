// Writes on the sheet and remembers the box of every text, so that nothing need be set over another, and tests can see.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "bind/drawing.h"
#include "chart/clip.h"

namespace ringout::chart {

struct TextBox {
  std::string text;
  Box box;
};

// How the n-th curve of a panel is drawn: its dashes tell it apart, its colour (safe for the usual kinds of colour
// blindness, and dark enough for grey print) only helps.
[[nodiscard]] std::string curve_style(std::size_t n);

constexpr double label_size = 2.7;  // mm, height of the font
constexpr double line_pitch = 1.3;  // times the font's height

// Words set into lines of at most `width`; a word that is wider stands alone and is fitted when drawn.
[[nodiscard]] std::vector<std::string> broken_lines(std::string_view text, double width, double size,
                                                    bind::Weight weight = bind::Weight::regular);
// Width and height of such lines.
struct Extents {
  double width = 0.0;
  double height = 0.0;
};
[[nodiscard]] Extents extents_of(const std::vector<std::string>& lines, double size);

class Pen {
 public:
  bind::Drawing drawing;

  // One line on its baseline; returns its box, at the baseline where there is nothing to write.
  Box text(bind::Place baseline, std::string_view text, double width, bind::TextStyle style);
  // Lines below each other, left-aligned, the first one's top at `corner`; returns the box.
  Box block(bind::Place corner, const std::vector<std::string>& lines, double width, bind::TextStyle style);
  [[nodiscard]] const std::vector<TextBox>& texts() const { return texts_; }

 private:
  std::vector<TextBox> texts_;
};

}  // namespace ringout::chart
