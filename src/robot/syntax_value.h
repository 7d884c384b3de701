// What is wrong with a value, or with what stands behind it, in a line that the TOML library does not read.
#pragma once

#include <optional>
#include <string_view>

#include "robot/syntax_line.h"
#include "robot/syntax_words.h"

namespace ringout::robot {

inline constexpr const char* value_forms =
    "a value is a text in quotes, a number, true or false, [a list] or { a = 1 }";

// `value` is not empty; `place`: where the library gave up. Nothing: the value is in order.
[[nodiscard]] std::optional<SyntaxWords> words_for_value(std::string_view key, LinePart value, Span place);

}  // namespace ringout::robot
