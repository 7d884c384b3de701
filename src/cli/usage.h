// Own sentences for what the argument library refuses: what was written, where, and what to write instead.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "base/result.h"

namespace ringout::cli {

// Checks of one option's value, for CLI::Option::check.
[[nodiscard]] CLI::Validator number_between(double low, double high, const std::string& unit);
[[nodiscard]] CLI::Validator one_of(const std::vector<std::string>& words);

// Where `command` (the innermost one that was named, `name` with the program before it) could not be read.
[[nodiscard]] Error usage_error(const CLI::App& command, const std::string& name, const CLI::ParseError& refused);

// An option that is given an empty text would be taken as not given at all. Of this command and those around it.
[[nodiscard]] Result<void> check_no_empty_text(const CLI::App& command, const std::string& name);

}  // namespace ringout::cli
