#include "cli/find/rows.h"

#include <set>

#include "cli/places.h"
#include "os/files.h"
#include "reach/robot_files.h"

namespace ringout::cli {

Result<Rows> read_rows(const std::string& robot_file, const std::vector<std::string>& more) {
  std::vector<std::string> paths = os::files_in(installed_root() + "/data/faults", ".toml");
  const std::set<std::string> shipped(paths.begin(), paths.end());
  for (const std::string& path : os::files_in(beside(robot_file, "faults"), ".toml")) paths.push_back(path);
  paths.insert(paths.end(), more.begin(), more.end());
  std::vector<SourceText> texts;
  for (const std::string& path : paths) {
    auto text = os::read_text(path);
    if (!text) return tl::unexpected(text.error());
    texts.emplace_back(path, *std::move(text));
  }
  Diagnostics found;
  auto rows = faults::read_fault_rows(texts, found);
  if (!rows) {
    return failure(ErrorKind::bad_input, "find.rows-have-errors",
                   "the fault rows have errors:\n" + reach::render_all(found, texts), "docs/faults.md has the form");
  }
  Rows out{*std::move(rows), 0};
  for (const auto& row : out.rows.faults) out.own += shipped.contains(row.file) ? 0 : 1;
  return out;
}

}  // namespace ringout::cli
