#include "robot/syntax_line.h"

#include <algorithm>

namespace ringout::robot {
namespace {

constexpr std::string_view blanks = " \t\r\n";

bool is_letter_or_digit(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

}  // namespace

int code_points(std::string_view text) {
  return static_cast<int>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

Span LinePart::on(int line) const {
  return {line, column, std::max(1, code_points(text))};
}

LinePart part_of(LinePart whole, std::size_t from, std::size_t count) {
  std::string_view text = whole.text.substr(from, count);
  const std::size_t begin = std::min(text.find_first_not_of(blanks), text.size());
  const int column = whole.column + code_points(whole.text.substr(0, from + begin));
  text.remove_prefix(begin);
  while (!text.empty() && blanks.find(text.back()) != std::string_view::npos) text.remove_suffix(1);
  return {text, column};
}

std::size_t find_outside_quotes(std::string_view text, std::string_view wanted) {
  char quote = '\0';
  bool text_may_begin = true;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quote == '"' && c == '\\') {
      ++i;
    } else if (quote != '\0') {
      if (c == quote) quote = '\0';
    } else if (wanted.find(c) != std::string_view::npos) {
      return i;
    } else if (c == '"' || c == '\'') {
      if (text_may_begin) quote = c;
    } else if (blanks.find(c) == std::string_view::npos) {
      text_may_begin = !is_letter_or_digit(c) && static_cast<unsigned char>(c) < 0x80U;
    }
  }
  return std::string_view::npos;
}

bool is_word(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(),
                                      [](char c) { return is_letter_or_digit(c) || c == '_' || c == '-' || c == '.'; });
}

bool has_empty_part(std::string_view name) {
  for (LinePart rest{name, 1};;) {
    const std::size_t dot = find_outside_quotes(rest.text, ".");
    if (part_of(rest, 0, dot).text.empty()) return true;
    if (dot == std::string_view::npos) return false;
    rest = {rest.text.substr(dot + 1), 1};
  }
}

std::string in_message(std::string_view text) {
  std::string out;
  for (const char c : text) out += c == '"' ? '\'' : c;
  return out;
}

std::string in_quotes(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

}  // namespace ringout::robot
