#include "find/robot/testing.h"

#include <cstdio>

#include "base/check.h"
#include "robot/testing.h"

namespace ringout::faults::testing {

std::vector<SourceText> shipped_texts(const std::string& root) {
  std::vector<SourceText> texts;
  for (const char* name : {"checks", "controller", "points", "repairs", "sensors", "supply"})
    texts.push_back(robot::testing::load_text(root, "data/faults/" + std::string(name) + ".toml"));
  return texts;
}

FaultRows shipped_rows(const std::string& root) {
  Diagnostics found;
  const auto rows = read_fault_rows(shipped_texts(root), found);
  for (const Diagnostic& d : found.all()) std::fputs(render(d, nullptr).c_str(), stderr);
  RINGOUT_CHECK(rows.has_value());
  return *rows;
}

}  // namespace ringout::faults::testing
