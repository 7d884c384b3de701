// What keeps a text of digits from being a number in TOML, and what to write instead.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "robot/syntax_line.h"
#include "robot/syntax_words.h"

namespace ringout::robot {

// All that a number can be written with.
inline constexpr std::string_view number_characters = "0123456789+-._eE";

// How a number is written, for a text that is none. Nothing: it is one (TOML 1.0, decimal integer and float).
[[nodiscard]] std::optional<std::string> number_hint(std::string_view text);

// Whether this comma stands within a number: only digits, signs, points and commas before it, a digit on both sides.
[[nodiscard]] bool is_comma_in_number(std::string_view text, std::size_t comma);

// "0,5", "0,8 m", "1,000": a number with a comma, alone or with a unit behind it. Nothing for all else.
[[nodiscard]] std::optional<SyntaxWords> words_for_comma(std::string_view key, LinePart value, int line);

}  // namespace ringout::robot
