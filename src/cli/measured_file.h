// measured.toml beside the robot file: what was measured, by whom and when. The tool alone writes it; tables of it that
// are not the cold check's are kept as they stand.
#pragma once

#include <string>

#include "base/result.h"
#include "cold/judge.h"

namespace ringout::cli {

constexpr const char* measured_file_name = "measured.toml";

// Errors: bad_input "measured.syntax" (file, line, column), "measured.step".
[[nodiscard]] Result<cold::Readings> read_measured(const std::string& path, const std::string& text);
// `before`: the file's text so far, empty for none; it must have been read without error.
[[nodiscard]] std::string measured_text(const std::string& before, const cold::Readings& readings);

}  // namespace ringout::cli
