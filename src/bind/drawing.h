// A line drawing in millimetres, written as SVG. Every text is fitted to the width it is given, by an estimate that
// holds for the widest of the usual sans-serif fonts, so that a reader's font cannot make two texts meet.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ringout::bind {

struct Place {
  double x = 0.0;  // mm, to the right
  double y = 0.0;  // mm, downward
};

enum class Anchor { start, middle, end };
enum class Weight { regular, bold };
enum class Tone { black, grey };

struct TextStyle {
  double size = 2.5;  // mm, height of the font
  Anchor anchor = Anchor::start;
  Weight weight = Weight::regular;
  Tone tone = Tone::black;
};

// Upper estimate of the width that `text` takes, in mm: advance widths of DejaVu Sans, rounded up by class of letter.
[[nodiscard]] double text_width(std::string_view text, double size, Weight weight);

// The text itself where it fits; else set smaller, down to `smallest_text`; else cut, with an ellipsis at its end.
struct FittedText {
  std::string text;
  double size = 2.5;
};
constexpr double smallest_text = 1.9;
[[nodiscard]] FittedText fit_text(std::string_view text, double width, double size, Weight weight);

class Drawing {
 public:
  // `attributes` is written into the element as it stands: class, data-from, …
  void line(Place from, Place to, const std::string& attributes);
  void polyline(const std::vector<Place>& through, const std::string& attributes);
  void rectangle(Place corner, double width, double height, const std::string& attributes);
  void circle(Place centre, double radius, const std::string& attributes);
  void path(const std::string& d, const std::string& attributes);
  void text(Place at, std::string_view text, double width, TextStyle style);

  void open_group(const std::string& attributes);
  void close_group();

  // The whole file; `style` is the content of its style element.
  [[nodiscard]] std::string svg(double width, double height, std::string_view title, std::string_view style) const;

 private:
  std::string body_;
};

// "&<>\"" as entities, control characters dropped.
[[nodiscard]] std::string escape_xml(std::string_view text);

}  // namespace ringout::bind
