// The rows of starting beliefs that hold for a robot: the installed ones, then the team's own.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "find/robot/fault_rows.h"

namespace ringout::cli {

struct Rows {
  faults::FaultRows rows;
  std::size_t own = 0;  // of the team's own files
};

// The installed rows, then the folder `faults` beside the robot file, then `more`. Errors: of reading,
// find.rows-have-errors with all of them rendered.
[[nodiscard]] Result<Rows> read_rows(const std::string& robot_file, const std::vector<std::string>& more);

}  // namespace ringout::cli
