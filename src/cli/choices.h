// A list of choices at a terminal: how it reads, and which of them a line means.
#pragma once

#include <string>
#include <vector>

#include "session/person.h"

namespace ringout::cli {

// The choices that hold the word, each under its number, as many as can be listed; then the letters in short lines.
[[nodiscard]] std::string choices_text(const std::vector<session::Choice>& choices, const std::string& word);

// Ids of the choices that a line may mean. A whole id goes before all else, then a number or a letter; in a list that
// is too long to be shown whole, a word of at least three letters stands for all that hold it.
[[nodiscard]] std::vector<std::string> choices_meant(const std::vector<session::Choice>& choices,
                                                     const std::string& line);

// Why a line means none of them, and what to write.
[[nodiscard]] std::string not_meant_text(const std::vector<session::Choice>& choices, const std::string& line);

// What is to be typed: "number", "letter", "number or letter".
[[nodiscard]] std::string typed_text(const std::vector<session::Choice>& choices);

}  // namespace ringout::cli
