#include "cli/places.h"

#include <ctime>
#include <filesystem>

namespace ringout::cli {
namespace {

std::string local_time(const char* form) {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  localtime_r(&now, &parts);
  char text[32];
  return {text, std::strftime(text, sizeof text, form, &parts)};
}

}  // namespace

std::string installed_root() {
  std::error_code failed;
  const std::filesystem::path self = std::filesystem::read_symlink("/proc/self/exe", failed);
  if (!failed) {
    const std::filesystem::path share = self.parent_path().parent_path() / "share" / "ringout";
    if (std::filesystem::is_directory(share / "data", failed)) return share.string();
  }
  return RINGOUT_SOURCE_ROOT;
}

Result<std::vector<std::string>> catalogue_folders(const std::vector<std::string>& given) {
  for (const std::string& folder : given) {
    std::error_code failed;
    if (std::filesystem::is_directory(folder, failed)) continue;
    return failure(ErrorKind::bad_input, "cli.no-such-folder",
                   "--catalogue " + folder + ": " +
                       (std::filesystem::exists(folder, failed) ? "this is no folder" : "there is no such folder"),
                   "name a folder of boards and devices, or leave --catalogue out: the folder 'catalogue' beside the "
                   "robot file is read anyway");
  }
  std::vector<std::string> folders = given;
  folders.push_back(installed_root() + "/data");
  return folders;
}

std::string beside(const std::string& robot_file, const std::string& name) {
  return (std::filesystem::path(robot_file).parent_path() / name).string();
}

std::string given_or_beside(const std::string& given, const std::string& robot_file, const std::string& name) {
  return given.empty() ? beside(robot_file, name) : given;
}

std::string today() {
  return local_time("%Y-%m-%d");
}
std::string time_stamp() {
  return local_time("%Y%m%d-%H%M%S");
}

}  // namespace ringout::cli
