#include "cli/terminal.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <iterator>

namespace ringout::cli {
namespace {

const char* sequence_of(Tone tone) {
  switch (tone) {
    case Tone::plain:
      return "";
    case Tone::good:
      return "\x1b[32m";
    case Tone::bad:
      return "\x1b[1;31m";
    case Tone::attention:
      return "\x1b[33m";
    case Tone::faint:
      return "\x1b[2m";
    case Tone::strong:
      return "\x1b[1m";
  }
  return "";
}

bool is_terminal(std::FILE* stream) {
  return isatty(fileno(stream)) == 1;
}

// A terminal that understands sequences for colour and cursor.
bool is_able(std::FILE* stream) {
  const char* kind = std::getenv("TERM");
  return is_terminal(stream) && kind != nullptr && std::string_view(kind) != "dumb";
}

Colour colour_for(std::FILE* stream) {
  const char* refused = std::getenv("NO_COLOR");
  const bool wanted = refused == nullptr || *refused == '\0';
  return wanted && is_able(stream) ? Colour::on : Colour::off;
}

void write_all(std::FILE* stream, std::string_view text) {
  std::fwrite(text.data(), 1, text.size(), stream);
  std::fflush(stream);
}

constexpr std::string_view units[] = {
    "%",   "°C",  "degC", "K",     "A",   "mA",   "V",      "mV",    "W",     "mW",     "kW",    "J",    "Wh",
    "Ah",  "mAh", "s",    "ms",    "µs",  "min",  "h",      "ohm",   "mohm",  "kohm",   "m",     "mm",   "cm",
    "mm²", "mm2", "m/s",  "mm/s",  "kg",  "g",    "N·m",    "N*m",   "deg",   "rpm",    "rpm/V", "K/W",  "J/K",
    "A²s", "Hz",  "kHz",  "turns", "AWG", "mN·m", "mN·m/A", "N·m/A", "kg·m²", "mm/rad", "baud",  "bytes"};

bool is_unit(std::string_view word) {
  while (!word.empty() && std::string_view(".,;:!?)]").find(word.back()) != std::string_view::npos) {
    word.remove_suffix(1);
  }
  return std::find(std::begin(units), std::end(units), word) != std::end(units);
}

// "11", "-0.5", "(12", "+-5".
bool is_number(std::string_view word) {
  while (!word.empty() && std::string_view("([+-~<>").find(word.front()) != std::string_view::npos) {
    word.remove_prefix(1);
  }
  return !word.empty() && word.find_first_not_of("0123456789.") == std::string_view::npos;
}

// Where the first piece ends that must stay on one line: a word, or a number with its unit.
std::size_t unbroken(std::string_view text) {
  const std::size_t end = std::min(text.find(' '), text.size());
  if (end == text.size() || !is_number(text.substr(0, end))) return end;
  const std::size_t next = std::min(text.find(' ', end + 1), text.size());
  return is_unit(text.substr(end + 1, next - end - 1)) ? next : end;
}

}  // namespace

std::string paint(std::string_view text, Tone tone, Colour colour) {
  if (colour == Colour::off || tone == Tone::plain) return std::string(text);
  return fmt::format("{}{}\x1b[0m", sequence_of(tone), text);
}

std::size_t columns_of(std::string_view text) {
  std::size_t columns = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\x1b') {
      while (i < text.size() && text[i] != 'm') ++i;
      continue;
    }
    if ((static_cast<unsigned char>(text[i]) & 0xC0U) != 0x80U) ++columns;
  }
  return columns;
}

std::string padded(std::string_view text, std::size_t columns) {
  const std::size_t taken = columns_of(text);
  return std::string(text) + std::string(taken < columns ? columns - taken : 0, ' ');
}

std::string wrapped(std::string_view text, std::size_t columns, std::size_t indent) {
  std::string out;
  std::size_t at_column = 0;
  while (!text.empty()) {
    const std::size_t end = unbroken(text);
    const std::string_view piece = text.substr(0, end);
    const std::size_t width = columns_of(piece);
    if (at_column > 0 && at_column + 1 + width > columns) {
      out += "\n" + std::string(indent, ' ');
      at_column = 0;
    } else if (at_column > 0) {
      out += ' ';
      ++at_column;
    }
    out += piece;
    at_column += width;
    text = end == text.size() ? std::string_view() : text.substr(end + 1);
  }
  return out;
}

std::string error_text(const Error& error, Colour colour) {
  std::string text = paint("ringout:", Tone::bad, colour) + " " + error.message + "\n";
  if (!error.hint.empty()) text += paint("hint:", Tone::attention, colour) + " " + error.hint + "\n";
  return text;
}

Terminal::Terminal(std::FILE* out, std::FILE* err, Shown shown)
    : out_(out),
      err_(err),
      shown_(shown),
      colour_(colour_for(out)),
      error_colour_(colour_for(err)),
      redraws_(is_able(out) && shown == Shown::all) {}

void Terminal::print(std::string_view text) const {
  if (shown_ == Shown::all) write_all(out_, text);
}

void Terminal::complain(const Error& error) const {
  write_all(err_, error_text(error, error_colour_));
}

void Terminal::document(std::string_view json) const {
  write_all(out_, json);
}

void Terminal::record(std::string_view json) const {
  if (shown_ == Shown::nothing) write_all(out_, json);
}

}  // namespace ringout::cli
