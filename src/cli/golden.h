// For tests of this folder: texts that people see stand in tests/golden/cli.
#pragma once

#include "tests/golden.h"

namespace ringout::cli {

inline void check_golden(const std::string& name, const std::string& text) {
  testing::check_golden("cli/" + name, text);
}

}  // namespace ringout::cli
