// For tests: texts that people see stand below tests/golden; RINGOUT_UPDATE_GOLDEN=1 rewrites them, and the difference
// is reviewed.
#pragma once

#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include "base/result.h"

namespace ringout::testing {

// `name` is a path below tests/golden.
inline void check_golden(const std::string& name, const std::string& text) {
  const std::string path = std::string(RINGOUT_SOURCE_DIR) + "/tests/golden/" + name;
  if (std::getenv("RINGOUT_UPDATE_GOLDEN") != nullptr) std::ofstream(path, std::ios::binary) << text;
  std::ifstream in(path, std::ios::binary);
  std::ostringstream expected;
  expected << in.rdbuf();
  CHECK_MESSAGE(text == expected.str(), name);
}

// An error as a golden file holds it.
inline std::string shown(const Error& error) {
  return error.id + ", exit status " + std::to_string(static_cast<int>(exit_status(error.kind))) + "\n  " +
         error.message + "\n  hint: " + (error.hint.empty() ? "-" : error.hint) + "\n";
}

}  // namespace ringout::testing
