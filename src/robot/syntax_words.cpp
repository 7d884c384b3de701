#include "robot/syntax_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "robot/syntax_line.h"
#include "robot/syntax_value.h"

namespace ringout::robot {
namespace {

std::optional<SyntaxWords> of_header(LinePart header, int line, SyntaxKind kind) {
  const Span all = header.on(line);
  if (kind == SyntaxKind::twice) {
    return SyntaxWords{all, fmt::format("{} stands here a second time, or is already something else", header.text),
                       "write a table once; of several of one kind each has double brackets, [[output]]"};
  }
  const bool twofold = header.text.substr(0, 2) == "[[";
  const std::string_view wanted = twofold ? "]]" : "]";
  const std::size_t end = header.text.find(wanted);
  if (find_outside_quotes(header.text, ",") < end) return std::nullopt;  // a line of a list, "[1, 2]"
  if (end == std::string_view::npos) {
    return SyntaxWords{all, fmt::format("the header {} lacks its closing {}", header.text, wanted),
                       "write [battery] for a table that stands once, [[output]] for one of several"};
  }
  const LinePart name = part_of(header, wanted.size(), end - wanted.size());
  if (!name.text.empty() && has_empty_part(name.text)) {
    return SyntaxWords{all, fmt::format("{} has an empty part at a dot", header.text.substr(0, end + wanted.size())),
                       "a name stands before and behind each dot, as in [output.mechanism]"};
  }
  if (!is_word(name.text)) {
    return SyntaxWords{
        all, name.text.empty() ? "the header has no name" : fmt::format("[{}] is no name of a table", name.text),
        "write [battery], [[output]] or [output.mechanism]"};
  }
  const LinePart rest = part_of(header, end + wanted.size());
  if (rest.text.empty() || rest.text.front() == ',') return std::nullopt;  // a line of a list, "[3]" or "[3],"
  return SyntaxWords{rest.on(line), fmt::format("\"{}\" stands behind the header", in_message(rest.text)),
                     "write it on a line of its own, or after # as a remark"};
}

SyntaxWords of_line_without_value(LinePart whole, int line) {
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

std::optional<SyntaxWords> of_key_and_value(LinePart whole, std::size_t equals, Span place, SyntaxKind kind) {
  const LinePart key = part_of(whole, 0, equals);
  const LinePart value = part_of(whole, equals + 1);
  if (kind == SyntaxKind::twice) {
    return SyntaxWords{key.on(place.line), fmt::format("{} stands here a second time in the same table", key.text),
                       "keep one of the two, or begin another table with its header before it"};
  }
  if (key.text.empty()) return SyntaxWords{whole.on(place.line), "no key stands before =", "write key = value"};
  if (has_empty_part(key.text)) {
    return SyntaxWords{key.on(place.line), fmt::format("the key {} has an empty part at a dot", key.text),
                       "a name stands before and behind each dot, as in a.b = 1"};
  }
  if (key.text.front() != '"' && key.text.front() != '\'' && !is_word(key.text)) {
    return SyntaxWords{key.on(place.line), fmt::format("\"{}\" is no key", in_message(key.text)),
                       "a key is one word of letters, digits and _"};
  }
  if (value.text.empty()) {
    return SyntaxWords{key.on(place.line), fmt::format("{} has no value", key.text), value_forms};
  }
  return words_for_value(key.text, value, place);
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
  const LinePart whole = part_of({raw, 1}, 0, find_outside_quotes(raw, "#"));
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
