// Where things are: what is installed beside this program, what stands beside a robot file, and what day it is.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace ringout::cli {

// Folder that holds data/, agent/ and wire/: share/ringout beside an installed program, else the source tree.
[[nodiscard]] std::string installed_root();
// Folders given by the person first, then the installed catalogue. Errors: cli.no-such-folder.
[[nodiscard]] Result<std::vector<std::string>> catalogue_folders(const std::vector<std::string>& given);
// A file beside the robot file.
[[nodiscard]] std::string beside(const std::string& robot_file, const std::string& name);
// `given` where it is not empty, else the file beside the robot file.
[[nodiscard]] std::string given_or_beside(const std::string& given, const std::string& robot_file,
                                          const std::string& name);
[[nodiscard]] std::string today();       // "2026-03-01", local time
[[nodiscard]] std::string time_stamp();  // "20260301-143005", local time; for file names

}  // namespace ringout::cli
