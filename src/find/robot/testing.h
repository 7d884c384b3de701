// For tests and benches: the rows that come with Ringout, read from the source tree.
#pragma once

#include <string>

#include "find/robot/fault_rows.h"

namespace ringout::faults::testing {

// data/faults/*.toml in the order of their names; aborts where they do not read.
[[nodiscard]] FaultRows shipped_rows(const std::string& root);

}  // namespace ringout::faults::testing
