#include "robot/syntax_value.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

#include "robot/syntax_number.h"

namespace ringout::robot {
namespace {

SyntaxWords of_rest(std::string_view key, LinePart rest, int line) {
  return {rest.on(line), fmt::format("\"{}\" stands behind the value of {}", in_message(rest.text), key),
          "one key with one value on a line; a remark begins with #"};
}

// Where something else than the value begins: a remark with //, a second key or value. An address holds :// itself.
std::size_t find_rest(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '=' || text[i] == ';' || (text[i] == ',' && !is_comma_in_number(text, i))) return i;
    if (text.substr(i, 2) == "//" && (i == 0 || text[i - 1] != ':')) return i;
  }
  return std::string_view::npos;
}

// "yes", "TRUE"
std::optional<SyntaxWords> of_truth(std::string_view key, LinePart value, int line) {
  std::string low(value.text);
  for (char& c : low) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  for (const auto& [word, truth] : {std::pair{"yes", "true"}, {"no", "false"}, {"true", "true"}, {"false", "false"}}) {
    if (low != word) continue;
    return SyntaxWords{value.on(line), fmt::format("{} is not how yes and no are written", value.text),
                       fmt::format("write {} = {}", key, truth)};
  }
  return std::nullopt;
}

// ".5", "1e999". Where the library gave up elsewhere, the number is not what is wrong.
std::optional<SyntaxWords> of_number(LinePart value, Span place) {
  const bool within = place.column >= value.column && place.column <= value.column + code_points(value.text);
  const auto hint = within ? number_hint(value.text) : std::nullopt;
  if (!hint) return std::nullopt;
  return SyntaxWords{value.on(place.line), fmt::format("{} is no number", value.text), *hint};
}

// Neither truth nor made of a number's characters alone: "0.8 m", "coast", "6O".
SyntaxWords of_text_without_quotes(std::string_view key, LinePart value, int line) {
  const char first = value.text.front();
  const bool number = (first >= '0' && first <= '9') || first == '-' || first == '+' || first == '.';
  return {
      value.on(line),
      number ? fmt::format("{} is no number, and no text in quotes", value.text)
             : fmt::format("the value {} is not in quotes", value.text),
      fmt::format("write {} = {}{}", key, in_quotes(value.text), number ? ", or a number with nothing behind it" : "")};
}

std::optional<SyntaxWords> of_bare_value(std::string_view key, LinePart value, Span place) {
  const std::string_view text = value.text;
  if (text.front() == '=')
    return SyntaxWords{value.on(place.line), "= stands here twice", "one = between key and value"};
  const std::size_t rest = find_rest(text);
  if (rest == 0) {
    return SyntaxWords{value.on(place.line), fmt::format("\"{}\" is no value", in_message(text)), value_forms};
  }
  if (rest != std::string_view::npos) return of_rest(key, part_of(value, rest), place.line);
  const std::size_t digit = text.find_first_not_of("+-");
  if (digit != std::string_view::npos && text.size() > digit + 1 && text[digit] == '0' && text[digit + 1] >= '0' &&
      text[digit + 1] <= '9') {
    return SyntaxWords{value.on(place.line), fmt::format("{} begins with a zero too many", text), "write it without"};
  }
  if (text == "true" || text == "false") return std::nullopt;
  // A number begins with no letter: E5 is a text.
  if (text.find_first_not_of(number_characters) == std::string_view::npos && text.front() != 'e' &&
      text.front() != 'E') {
    return of_number(value, place);
  }
  if (auto comma = words_for_comma(key, value, place.line)) return comma;
  if (auto truth = of_truth(key, value, place.line)) return truth;
  return of_text_without_quotes(key, value, place.line);
}

// Where the text that begins at 0 with a quote ends; nothing: it does not.
std::optional<std::size_t> closing_quote(std::string_view text) {
  for (std::size_t i = 1; i < text.size(); ++i) {
    if (text.front() == '"' && text[i] == '\\') {
      ++i;
    } else if (text[i] == text.front()) {
      return i;
    }
  }
  return std::nullopt;
}

bool is_character(std::string_view hexadecimal) {
  const unsigned long number = std::stoul(std::string(hexadecimal), nullptr, 16);
  return number <= 0x10FFFF && (number < 0xD800 || number > 0xDFFF);
}

// What is wrong with the backslash at 0, as far as a message shows it; nothing: TOML 1.0 knows it.
std::optional<std::string> wrong_escape(std::string_view text) {
  const char kind = text[1];
  if (std::string_view("btnfr\"\\").find(kind) != std::string_view::npos) return std::nullopt;
  if (kind != 'u' && kind != 'U') {
    std::size_t length = 2;
    while (length < text.size() && (static_cast<unsigned char>(text[length]) & 0xC0U) == 0x80U) ++length;
    return std::string(text.substr(0, length));
  }
  const std::size_t count = kind == 'u' ? 4 : 8;
  const std::string_view digits = text.substr(2, count);
  if (digits.size() < count || digits.find_first_not_of("0123456789abcdefABCDEF") != std::string_view::npos) {
    return fmt::format("\\{} without {} hexadecimal digits", kind, kind == 'u' ? "four" : "eight");
  }
  if (is_character(digits)) return std::nullopt;
  return std::string(text.substr(0, 2 + count));
}

// `text` begins with a double quote and ends before the next one.
std::optional<SyntaxWords> of_backslashes(LinePart text, int line) {
  for (std::size_t i = text.text.find('\\'); i != std::string_view::npos; i = text.text.find('\\', i + 2)) {
    const auto wrong = wrong_escape(text.text.substr(i));
    if (!wrong) continue;
    return SyntaxWords{{line, text.column + code_points(text.text.substr(0, i)), 2},
                       fmt::format("{} is no character that a backslash can write", *wrong),
                       "write two backslashes for one, or put the text in 'single quotes'"};
  }
  return std::nullopt;
}

std::optional<SyntaxWords> of_quoted_value(std::string_view key, LinePart value, Span place) {
  const bool of_lines = value.text.substr(0, 3) == "\"\"\"" || value.text.substr(0, 3) == "'''";
  const auto end = closing_quote(value.text);
  if (!end || of_lines) {
    return SyntaxWords{value.on(place.line), fmt::format("the text of {} lacks its closing quote", key),
                       "end it with the quote that it begins with, on the same line"};
  }
  if (value.text.front() == '"') {
    if (auto wrong = of_backslashes({value.text.substr(0, *end), value.column}, place.line)) return wrong;
  }
  const LinePart rest = part_of(value, *end + 1);
  if (rest.text.empty()) return std::nullopt;
  return of_rest(key, rest, place.line);
}

}  // namespace

std::optional<SyntaxWords> words_for_value(std::string_view key, LinePart value, Span place) {
  for (const std::string_view quote : {"\u201c", "\u201d", "\u201e", "\u2018", "\u2019"}) {
    if (value.text.find(quote) == std::string_view::npos) continue;
    return SyntaxWords{value.on(place.line), fmt::format("the quotes around the value of {} are not plain ones", key),
                       "write \" before and behind it"};
  }
  const char first = value.text.front();
  if (first == '"' || first == '\'') return of_quoted_value(key, value, place);
  if (first != '[' && first != '{') return of_bare_value(key, value, place);
  const bool list = first == '[';
  return SyntaxWords{place,
                     fmt::format("the {} of {} cannot be read from here on", list ? "list" : "table in braces", key),
                     fmt::format("part its values by commas, put texts in quotes, and close it with {}",
                                 list ? "]" : "} on the same line")};
}

}  // namespace ringout::robot
