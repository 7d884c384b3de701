#include "bind/drawing.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/check.h"

namespace ringout::bind {
namespace {

// Next code point of a UTF-8 text; a broken sequence counts as one letter per byte.
char32_t next_letter(std::string_view text, std::size_t& at) {
  const auto first = static_cast<unsigned char>(text[at++]);
  if (first < 0x80) return first;
  const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : first >= 0xC0 ? 1 : 0;
  char32_t letter = first & (0x3FU >> more);
  for (int i = 0; i < more && at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U; ++i) {
    letter = (letter << 6U) | (static_cast<unsigned char>(text[at++]) & 0x3FU);
  }
  return letter;
}

// Advance over font size, rounded up from the advance table of DejaVu Sans 2.37; a test holds it to that table.
double advance(char32_t letter) {
  const auto among = [letter](std::string_view set) {
    return letter < 0x80 && set.find(static_cast<char>(letter)) != std::string_view::npos;
  };
  if (among("ijl'.,:;| ")) return 0.34;
  if (among("frtI-()[]/\\!")) return 0.42;
  if (among("mMWw@%")) return 1.0;
  if (letter >= 'A' && letter <= 'Z') return 0.79;
  if (among("+<>=~#&^")) return 0.84;
  if (letter < 0x80) return 0.645;
  if (letter > 0x1100) return 1.0;
  return 0.79;
}

std::size_t letters_in(std::string_view text, double width, double size, Weight weight) {
  std::size_t fits = 0;
  for (std::size_t at = 0; at < text.size();) {
    next_letter(text, at);
    if (text_width(text.substr(0, at), size, weight) > width) break;
    fits = at;
  }
  return fits;
}

const char* name_of(Anchor anchor) {
  switch (anchor) {
    case Anchor::start:
      return "start";
    case Anchor::middle:
      return "middle";
    case Anchor::end:
      return "end";
  }
  return "start";
}

}  // namespace

double text_width(std::string_view text, double size, Weight weight) {
  double sum = 0.0;
  for (std::size_t at = 0; at < text.size();) sum += advance(next_letter(text, at));
  return sum * size * (weight == Weight::bold ? 1.18 : 1.0);
}

FittedText fit_text(std::string_view text, double width, double size, Weight weight) {
  const double wanted = text_width(text, size, weight);
  if (wanted <= width) return {std::string(text), size};
  const double smaller = std::max(std::min(size, smallest_text), size * width / wanted);
  if (text_width(text, smaller, weight) <= width + 1e-9) return {std::string(text), smaller};
  const std::string ellipsis = "…";
  const double room = width - text_width(ellipsis, smaller, weight);
  if (room <= 0.0) return {"", smaller};
  return {std::string(text.substr(0, letters_in(text, room, smaller, weight))) + ellipsis, smaller};
}

std::string escape_xml(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20U) out += c;
    }
  }
  return out;
}

void Drawing::line(Place from, Place to, const std::string& attributes) {
  body_ += fmt::format("<line x1=\"{:.3f}\" y1=\"{:.3f}\" x2=\"{:.3f}\" y2=\"{:.3f}\" {}/>\n", from.x, from.y, to.x,
                       to.y, attributes);
}

void Drawing::polyline(const std::vector<Place>& through, const std::string& attributes) {
  RINGOUT_CHECK(through.size() >= 2);
  body_ += "<polyline points=\"";
  for (const Place& p : through) body_ += fmt::format("{:.3f},{:.3f} ", p.x, p.y);
  body_.back() = '"';
  body_ += fmt::format(" {}/>\n", attributes);
}

void Drawing::rectangle(Place corner, double width, double height, const std::string& attributes) {
  body_ += fmt::format("<rect x=\"{:.3f}\" y=\"{:.3f}\" width=\"{:.3f}\" height=\"{:.3f}\" {}/>\n", corner.x, corner.y,
                       width, height, attributes);
}

void Drawing::circle(Place centre, double radius, const std::string& attributes) {
  body_ +=
      fmt::format("<circle cx=\"{:.3f}\" cy=\"{:.3f}\" r=\"{:.3f}\" {}/>\n", centre.x, centre.y, radius, attributes);
}

void Drawing::path(const std::string& d, const std::string& attributes) {
  body_ += fmt::format("<path d=\"{}\" {}/>\n", d, attributes);
}

void Drawing::text(Place at, std::string_view text, double width, TextStyle style) {
  const FittedText fitted = fit_text(text, width, style.size, style.weight);
  if (fitted.text.empty()) return;
  body_ += fmt::format("<text x=\"{:.3f}\" y=\"{:.3f}\" font-size=\"{:.3f}\" text-anchor=\"{}\"{}{}>", at.x, at.y,
                       fitted.size, name_of(style.anchor), style.weight == Weight::bold ? " font-weight=\"bold\"" : "",
                       style.tone == Tone::grey ? " fill=\"#4a4a4a\"" : "");
  if (fitted.text != text) body_ += fmt::format("<title>{}</title>", escape_xml(text));
  body_ += escape_xml(fitted.text) + "</text>\n";
}

void Drawing::open_group(const std::string& attributes) {
  body_ += fmt::format("<g {}>\n", attributes);
}
void Drawing::close_group() {
  body_ += "</g>\n";
}

std::string Drawing::svg(double width, double height, std::string_view title, std::string_view style) const {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}mm\" height=\"{1:.0f}mm\" viewBox=\"0 0 {0:.0f} "
      "{1:.0f}\">\n<title>{2}</title>\n<style>{3}</style>\n<rect width=\"100%\" height=\"100%\" "
      "fill=\"white\"/>\n{4}</svg>\n",
      width, height, escape_xml(title), style, body_);
}

}  // namespace ringout::bind
