// A line of a file that the TOML library does not read, cut into parts that know their columns.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "base/source_text.h"

namespace ringout::robot {

// A part of a line, with the column at which it begins (from 1, in code points).
struct LinePart {
  std::string_view text;
  int column = 1;

  [[nodiscard]] Span on(int line) const;
};

[[nodiscard]] int code_points(std::string_view text);

// `count` bytes from `from`, without the blanks around them.
[[nodiscard]] LinePart part_of(LinePart whole, std::size_t from, std::size_t count = std::string_view::npos);

// The first of these characters outside quotes. A quote behind a word ("it's") begins no text.
[[nodiscard]] std::size_t find_outside_quotes(std::string_view text, std::string_view wanted);

// Of letters, digits, _, - and the dots between parts.
[[nodiscard]] bool is_word(std::string_view text);

// "a..b", ".a", "a. .b": a dot with nothing before or behind it.
[[nodiscard]] bool has_empty_part(std::string_view name);

// So that it can stand in double quotes in a message.
[[nodiscard]] std::string in_message(std::string_view text);

// As the file would hold it, in double quotes.
[[nodiscard]] std::string in_quotes(std::string_view text);

}  // namespace ringout::robot
