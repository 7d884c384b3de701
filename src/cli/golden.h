// For tests of this folder: texts that people see stand in tests/golden/cli; RINGOUT_UPDATE_GOLDEN=1 rewrites them.
#pragma once

#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

namespace ringout::cli {

inline void check_golden(const std::string& name, const std::string& text) {
  const std::string path = std::string(RINGOUT_SOURCE_DIR) + "/tests/golden/cli/" + name;
  if (std::getenv("RINGOUT_UPDATE_GOLDEN") != nullptr) std::ofstream(path) << text;
  std::ifstream in(path);
  std::ostringstream expected;
  expected << in.rdbuf();
  CHECK_MESSAGE(text == expected.str(), name);
}

}  // namespace ringout::cli
