#include "cli/find/kept_case.h"

#include <unistd.h>

#include <filesystem>

#include "cli/places.h"
#include "os/files.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

tl::unexpected<Error> not_written(const std::string& path) {
  return failure(ErrorKind::bad_input, "find.case-not-written", path + " could not be written",
                 "see that the folder may be written and the disk is not full; what was kept before is whole");
}

// Nothing is there yet.
Result<void> is_free(const std::string& path) {
  if (!os::is_file(path)) return {};
  const auto text = os::read_text(path);
  if (text && text->starts_with("ringout case")) {
    return failure(ErrorKind::bad_input, "find.case-exists", path + " holds a case already",
                   "go on with it by --resume, or keep the new one elsewhere: --case FILE");
  }
  return failure(ErrorKind::bad_input, "find.no-case-there", path + " is there already, and is no case",
                 "nothing is written over it; --case FILE names where a new case is to be kept");
}

tl::unexpected<Error> in_use(const std::string& what) {
  return failure(ErrorKind::bad_input, "find.case-in-use", what,
                 "end the other one first and go on by --resume, or keep another case: --case FILE");
}

}  // namespace

// The lock ends with the process, however that ends; no child may inherit it. Whatever another process wrote before it
// was had shows in the text: that it would be lost, or weighed without having been read, is what the lock is for.
Result<void> CaseRecord::open(const std::string& path, const std::string& begins, std::size_t size) {
  path_ = path;
  file_.reset(std::fopen(path.c_str(), "abe"));
  if (!file_) return not_written(path);
  if (os::lock_alone(fileno(file_.get())) == os::Locked::by_another)
    return in_use("another ringout is working on " + path);
  const auto text = os::read_text(path);
  if (!text) return tl::unexpected(text.error());
  if (text->size() == size && text->starts_with(begins)) return {};
  return in_use("another ringout has just worked on " + path);
}

Result<void> CaseRecord::begin(const std::string& path, const find::CaseHead& head) {
  if (auto free = is_free(path); !free) return free;
  const std::string text = find::head_text(head);
  if (auto written = os::write_atomically(path, text); !written) return written;
  return open(path, text, text.size());
}

Result<void> CaseRecord::go_on(const std::string& path, const find::KeptCase& kept) {
  if (auto opened = open(path, kept.whole, kept.whole.size() + kept.cut_off); !opened) return opened;
  const bool cut = kept.cut_off == 0 || ftruncate(fileno(file_.get()), static_cast<off_t>(kept.whole.size())) == 0;
  return cut ? Result<void>{} : not_written(path);
}

Result<void> CaseRecord::add(const std::string& line) {
  const bool written = std::fwrite(line.data(), 1, line.size(), file_.get()) == line.size() &&
                       std::fflush(file_.get()) == 0 && fsync(fileno(file_.get())) == 0;
  if (!written) return not_written(path_);
  return {};
}

Result<find::KeptCase> read_case_file(const std::string& path) {
  auto text = os::read_text(path);
  if (!text) return tl::unexpected(text.error());
  const SourceText source(path, std::move(*text));
  Diagnostics found;
  auto kept = find::read_case(source, found);
  if (kept) return *std::move(kept);
  return failure(
      ErrorKind::bad_input, "find.case-has-errors",
      path + " is no case that can be gone on with; it is left as it is:\n" + reach::render_all(found, {source}),
      "put the lines right, or begin a new case");
}

bool is_closed(const find::KeptCase& kept) {
  return !kept.lines.empty() && kept.lines.back().fields.front() == "closed";
}

Result<std::string> newest_open_case(const std::string& beside_file) {
  std::vector<std::string> files = os::files_in(beside(beside_file, ".ringout"), ".case");
  for (auto path = files.rbegin(); path != files.rend(); ++path) {
    const auto kept = read_case_file(*path);
    if (!kept) {
      Error error = kept.error();
      error.hint = "put the lines right, or name the case to go on with: --case FILE --resume";
      return tl::unexpected(std::move(error));
    }
    if (!is_closed(*kept)) return *path;
  }
  return std::string();
}

Result<std::string> given_case_path(const std::string& path) {
  const std::string folder = std::filesystem::path(path).parent_path().string();
  if (!folder.empty() && !os::is_folder(folder)) {
    return failure(
        ErrorKind::bad_input, "find.no-such-folder", "there is no folder " + folder + " to keep a case in",
        "make it first, or leave --case out: a case is kept in .ringout beside the robot or model file then");
  }
  if (auto free = is_free(path); !free) return tl::unexpected(free.error());
  return path;
}

std::string new_case_path(const std::string& beside_file) {
  const std::string stem = beside(beside_file, ".ringout/find-" + time_stamp());
  std::string path = stem + ".case";
  for (int more = 2; os::is_file(path); ++more) path = stem + "_" + std::to_string(more) + ".case";
  return path;
}

Result<find::History> read_history_file(const std::string& path) {
  if (!os::is_file(path)) return find::History{};
  auto text = os::read_text(path);
  if (!text) return tl::unexpected(text.error());
  const SourceText source(path, std::move(*text));
  Diagnostics found;
  find::History history = find::read_history(source, found);
  if (!found.has_errors()) return history;
  return failure(ErrorKind::bad_input, "find.history-has-errors",
                 path + " is left as it is, because it has errors:\n" + reach::render_all(found, {source}),
                 "put the lines right, or take them out");
}

Result<void> write_history_file(const std::string& path, const find::History& history) {
  return os::write_atomically(path, find::write_history(history));
}

}  // namespace ringout::cli
