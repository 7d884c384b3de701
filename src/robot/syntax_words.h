// What is wrong with a line that the TOML library does not read, in our words: told from the line itself, so that it
// does not hang on the library's own messages.
#pragma once

#include <string>
#include <string_view>

#include "base/source_text.h"

namespace ringout::robot {

enum class SyntaxKind { unreadable, twice };  // twice: a key or a table that stands already

struct SyntaxWords {
  Span place;
  std::string message;
  std::string hint;
};

// `place`: where the library gave up.
[[nodiscard]] SyntaxWords words_for_syntax(const SourceText& text, Span place, SyntaxKind kind);

}  // namespace ringout::robot
