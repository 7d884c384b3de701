#include "robot/syntax_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

namespace ringout::robot {
namespace {

constexpr const char* value_forms = "a value is a text in quotes, a number, true or false, [a list] or { a = 1 }";

int code_points(std::string_view text) {
  return static_cast<int>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

// A part of a line, with the column at which it begins (from 1, in code points).
struct Part {
  std::string_view text;
  int column = 1;

  [[nodiscard]] Span on(int line) const { return {line, column, std::max(1, code_points(text))}; }
};

// `count` bytes from `from`, without the blanks around them.
Part part_of(Part whole, std::size_t from, std::size_t count = std::string_view::npos) {
  constexpr std::string_view blanks = " \t\r\n";
  std::string_view text = whole.text.substr(from, count);
  const std::size_t begin = std::min(text.find_first_not_of(blanks), text.size());
  const int column = whole.column + code_points(whole.text.substr(0, from + begin));
  text.remove_prefix(begin);
  while (!text.empty() && blanks.find(text.back()) != std::string_view::npos) text.remove_suffix(1);
  return {text, column};
}

// The first of these characters outside quotes.
std::size_t find_outside_quotes(std::string_view text, std::string_view wanted) {
  char quote = '\0';
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (quote == '"' && text[i] == '\\') {
      ++i;
    } else if (quote != '\0') {
      if (text[i] == quote) quote = '\0';
    } else if (wanted.find(text[i]) != std::string_view::npos) {
      return i;
    } else if (text[i] == '"' || text[i] == '\'') {
      quote = text[i];
    }
  }
  return std::string_view::npos;
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

bool is_word(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-' ||
           c == '.';
  });
}

// So that it can stand in double quotes.
std::string in_message(std::string_view text) {
  std::string out;
  for (const char c : text) out += c == '"' ? '\'' : c;
  return out;
}

SyntaxWords of_header(Part header, int line, SyntaxKind kind) {
  const Span all = header.on(line);
  if (kind == SyntaxKind::twice) {
    return {all, fmt::format("{} stands here a second time, or is already something else", header.text),
            "write a table once; of several of one kind each has double brackets, [[output]]"};
  }
  const bool twofold = header.text.substr(0, 2) == "[[";
  const std::string_view wanted = twofold ? "]]" : "]";
  const std::size_t end = header.text.find(wanted);
  if (end == std::string_view::npos) {
    return {all, fmt::format("the header {} lacks its closing {}", header.text, wanted),
            "write [battery] for a table that stands once, [[output]] for one of several"};
  }
  const Part name = part_of(header, wanted.size(), end - wanted.size());
  if (!is_word(name.text)) {
    return {all, name.text.empty() ? "the header has no name" : fmt::format("[{}] is no name of a table", name.text),
            "write [battery], [[output]] or [output.mechanism]"};
  }
  const Part rest = part_of(header, end + wanted.size());
  return {rest.on(line), fmt::format("\"{}\" stands behind the header", in_message(rest.text)),
          "write it on a line of its own, or after # as a remark"};
}

SyntaxWords of_line_without_value(Part whole, int line) {
  const Span all = whole.on(line);
  if (whole.text.substr(0, 2) == "//") return {all, "a remark begins with #, not with //", "write # before it"};
  const std::size_t colon = find_outside_quotes(whole.text, ":");
  if (colon != std::string_view::npos && is_word(part_of(whole, 0, colon).text)) {
    return {{line, whole.column + code_points(whole.text.substr(0, colon)), 1},
            fmt::format("between {} and its value stands :, not =", part_of(whole, 0, colon).text),
            fmt::format("write {} = and the value", part_of(whole, 0, colon).text)};
  }
  return {all, fmt::format("\"{}\" is neither a header nor a key with its value", in_message(whole.text)),
          "write [table], key = \"text\" or key = 12; a remark begins with #"};
}

// "0.8 m", "coast", "6O": what must stand in quotes, or is no number. Nothing for what is in order.
std::optional<SyntaxWords> of_bare_value(std::string_view key, Part value, int line) {
  if (value.text.front() == '=')
    return SyntaxWords{value.on(line), "= stands here twice", "one = between key and value"};
  const std::size_t digit = value.text.find_first_not_of("+-");
  if (digit != std::string_view::npos && value.text.size() > digit + 1 && value.text[digit] == '0' &&
      value.text[digit + 1] >= '0' && value.text[digit + 1] <= '9') {
    return SyntaxWords{value.on(line), fmt::format("{} begins with a zero too many", value.text), "write it without"};
  }
  if (value.text == "true" || value.text == "false" ||
      value.text.find_first_not_of("0123456789+-._eE") == std::string_view::npos) {
    return std::nullopt;
  }
  const std::size_t comma = value.text.find(',');
  if (comma != std::string_view::npos && value.text.find_first_not_of("0123456789,+-") == std::string_view::npos) {
    std::string point(value.text);
    point[comma] = '.';
    return SyntaxWords{value.on(line), fmt::format("{} is written with a comma", value.text),
                       fmt::format("write it with a point: {} = {}", key, point)};
  }
  for (const auto& [word, truth] : {std::pair{"yes", "true"}, {"no", "false"}, {"True", "true"}, {"False", "false"}}) {
    if (value.text == word) {
      return SyntaxWords{value.on(line), fmt::format("{} is not how yes and no are written", word),
                         fmt::format("write {} = {}", key, truth)};
    }
  }
  const char first = value.text.front();
  const bool number = (first >= '0' && first <= '9') || first == '-' || first == '+' || first == '.';
  return SyntaxWords{value.on(line),
                     number ? fmt::format("{} is no number, and no text in quotes", value.text)
                            : fmt::format("the value {} is not in quotes", value.text),
                     fmt::format("write {} = \"{}\"{}", key, in_message(value.text),
                                 number ? ", or a number with nothing behind it" : "")};
}

std::optional<SyntaxWords> of_quoted_value(std::string_view key, Part value, Span place) {
  const bool of_lines = value.text.substr(0, 3) == "\"\"\"" || value.text.substr(0, 3) == "'''";
  const auto end = closing_quote(value.text);
  if (!end || of_lines) {
    return SyntaxWords{value.on(place.line), fmt::format("the text of {} lacks its closing quote", key),
                       "end it with the quote that it begins with, on the same line"};
  }
  const std::size_t backslash = value.text.find('\\');
  if (value.text.front() == '"' && backslash < *end) {
    return SyntaxWords{{place.line, value.column + code_points(value.text.substr(0, backslash)), 2},
                       fmt::format("{} is no character that a backslash can write", value.text.substr(backslash, 2)),
                       "write two backslashes for one, or put the text in 'single quotes'"};
  }
  const Part rest = part_of(value, *end + 1);
  if (rest.text.empty()) return std::nullopt;
  return SyntaxWords{rest.on(place.line),
                     fmt::format("\"{}\" stands behind the value of {}", in_message(rest.text), key),
                     "one key with one value on a line; a remark begins with #"};
}

std::optional<SyntaxWords> of_value(std::string_view key, Part value, Span place) {
  for (const std::string_view quote : {"\u201c", "\u201d", "\u201e", "\u2018", "\u2019"}) {
    if (value.text.find(quote) == std::string_view::npos) continue;
    return SyntaxWords{value.on(place.line), fmt::format("the quotes around the value of {} are not plain ones", key),
                       "write \" before and behind it"};
  }
  const char first = value.text.front();
  if (first == '"' || first == '\'') return of_quoted_value(key, value, place);
  if (first != '[' && first != '{') return of_bare_value(key, value, place.line);
  const bool list = first == '[';
  return SyntaxWords{place,
                     fmt::format("the {} of {} cannot be read from here on", list ? "list" : "table in braces", key),
                     fmt::format("part its values by commas, put texts in quotes, and close it with {}",
                                 list ? "]" : "} on the same line")};
}

std::optional<SyntaxWords> of_key_and_value(Part whole, std::size_t equals, Span place, SyntaxKind kind) {
  const Part key = part_of(whole, 0, equals);
  const Part value = part_of(whole, equals + 1);
  if (kind == SyntaxKind::twice) {
    return SyntaxWords{key.on(place.line), fmt::format("{} stands here a second time in the same table", key.text),
                       "keep one of the two, or begin another table with its header before it"};
  }
  if (key.text.empty()) return SyntaxWords{whole.on(place.line), "no key stands before =", "write key = value"};
  if (key.text.front() != '"' && key.text.front() != '\'' && !is_word(key.text)) {
    return SyntaxWords{key.on(place.line), fmt::format("\"{}\" is no key", in_message(key.text)),
                       "a key is one word of letters, digits and _"};
  }
  if (value.text.empty()) {
    return SyntaxWords{key.on(place.line), fmt::format("{} has no value", key.text), value_forms};
  }
  return of_value(key.text, value, place);
}

}  // namespace

SyntaxWords words_for_syntax(const SourceText& text, Span place, SyntaxKind kind) {
  const std::string_view raw = text.line(place.line);
  const auto control = std::find_if(raw.begin(), raw.end(), [](char c) {
    return (c >= '\0' && c < ' ' && c != '\t' && c != '\r' && c != '\n') || c == '\x7f';
  });
  if (control != raw.end()) {
    return {{place.line, code_points(raw.substr(0, static_cast<std::size_t>(control - raw.begin()))) + 1, 1},
            "a character that cannot be seen stands here",
            "delete it; the file is plain text, saved as UTF-8"};
  }
  const Part whole = part_of({raw, 1}, 0, find_outside_quotes(raw, "#"));
  std::optional<SyntaxWords> told;
  if (!whole.text.empty() && whole.text.front() == '[') {
    told = of_header(whole, place.line, kind);
  } else if (!whole.text.empty() && std::string_view("]}{\"").find(whole.text.front()) == std::string_view::npos) {
    const std::size_t equals = find_outside_quotes(whole.text, "=");
    told = equals == std::string_view::npos ? of_line_without_value(whole, place.line)
                                            : of_key_and_value(whole, equals, place, kind);
  }
  if (told) return *told;
  return {place, "what stands before this is not closed, or a comma is missing",
          "look in this line and in those before it for a quote, a ] or a } that is missing"};
}

}  // namespace ringout::robot
