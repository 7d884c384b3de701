// The file that keeps one case, and the team's history of closed ones.
#pragma once

#include <cstdio>
#include <memory>
#include <string>

#include "base/result.h"
#include "find/case_file.h"
#include "find/learning.h"

namespace ringout::cli {

inline constexpr const char* history_file_name = "fault_history.txt";

// Appends, one line an entry, each on the disk before the case goes on; nobody else does so meanwhile. Errors of
// opening: find.case-in-use, find.case-not-written.
class CaseRecord {
 public:
  // A new file. Errors: find.case-exists, find.no-case-there.
  [[nodiscard]] Result<void> begin(const std::string& path, const find::CaseHead& head);
  // A kept one; what was cut off at its end is taken away first.
  [[nodiscard]] Result<void> go_on(const std::string& path, const find::KeptCase& kept);
  [[nodiscard]] Result<void> add(const std::string& line);
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  // Its text must be as it was read: `size` bytes that begin like this.
  [[nodiscard]] Result<void> open(const std::string& path, const std::string& begins, std::size_t size);

  std::string path_;
  std::unique_ptr<std::FILE, Close> file_;
};

// Errors: of reading; find.case-has-errors with all of them rendered.
[[nodiscard]] Result<find::KeptCase> read_case_file(const std::string& path);
[[nodiscard]] bool is_closed(const find::KeptCase& kept);
// The newest case in `.ringout` beside `beside_file` that is not closed; empty where there is none. One that cannot
// be read on the way there is the error: an older case is not what was meant.
[[nodiscard]] Result<std::string> newest_open_case(const std::string& beside_file);
// Where a person wants a new case: the same path. Errors: find.no-such-folder, find.case-exists, find.no-case-there.
[[nodiscard]] Result<std::string> given_case_path(const std::string& path);
[[nodiscard]] std::string new_case_path(const std::string& beside_file);

// No file: no cases. Errors: of reading; find.history-has-errors.
[[nodiscard]] Result<find::History> read_history_file(const std::string& path);
[[nodiscard]] Result<void> write_history_file(const std::string& path, const find::History& history);

}  // namespace ringout::cli
