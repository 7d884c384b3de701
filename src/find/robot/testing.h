// For tests and benches: the rows that come with Ringout, read from the source tree.
#pragma once

#include <string>
#include <vector>

#include "find/robot/fault_rows.h"

namespace ringout::faults::testing {

// data/faults/*.toml in the order of their names.
[[nodiscard]] std::vector<SourceText> shipped_texts(const std::string& root);
// Read; aborts where they do not.
[[nodiscard]] FaultRows shipped_rows(const std::string& root);

}  // namespace ringout::faults::testing
