#include "reach/robot_files.h"

#include <algorithm>
#include <filesystem>

#include "os/files.h"
#include "robot/robot_file.h"

namespace ringout::reach {
namespace {

namespace fs = std::filesystem;

Result<std::vector<SourceText>> catalogue_texts(CatalogueFolders folders, const fs::path& robot_path) {
  folders.push_back((robot_path.parent_path() / "catalogue").string());
  std::vector<std::string> paths;
  for (const std::string& folder : folders) {
    for (const char* part : {"", "boards", "devices"}) {
      const fs::path here = part[0] == '\0' ? fs::path(folder) : fs::path(folder) / part;
      for (const std::string& path : os::files_in(here.string(), ".toml")) {
        if (std::find(paths.begin(), paths.end(), path) == paths.end()) paths.push_back(path);
      }
    }
  }
  std::vector<SourceText> texts;
  for (const std::string& path : paths) {
    auto text = os::read_text(path);
    if (!text) return tl::unexpected(text.error());
    texts.emplace_back(path, std::move(*text));
  }
  return texts;
}

std::string has_errors(const std::string& path) {
  return path + " cannot be used as it is";
}

}  // namespace

std::string render_all(const Diagnostics& found, const std::vector<SourceText>& texts) {
  Diagnostics by_place = found;
  by_place.sort_by_place();
  std::vector<Diagnostic> worst_first = by_place.all();
  std::stable_sort(worst_first.begin(), worst_first.end(),
                   [](const Diagnostic& a, const Diagnostic& b) { return a.severity > b.severity; });
  std::string all;
  for (const Diagnostic& d : worst_first) {
    const auto in = std::find_if(texts.begin(), texts.end(), [&](const SourceText& t) { return t.name() == d.file; });
    all += render(d, in == texts.end() ? nullptr : &*in);
  }
  return all;
}

Result<RobotRead> read_robot_files(const std::string& robot_path, const CatalogueFolders& folders) {
  auto text = os::read_text(robot_path);
  if (!text) return tl::unexpected(text.error());
  auto texts = catalogue_texts(folders, robot_path);
  if (!texts) return tl::unexpected(texts.error());
  RobotRead read;
  const robot::Catalogue catalogue = robot::read_catalogue(*texts, read.found);
  read.texts = std::move(*texts);
  read.texts.emplace_back(robot_path, std::move(*text));
  read.robot = robot::read_robot(read.texts.back(), catalogue, read.found);
  if (read.found.has_errors()) read.robot.reset();
  return read;
}

Result<robot::Robot> load_robot(const std::string& robot_path, const CatalogueFolders& folders) {
  auto read = read_robot_files(robot_path, folders);
  if (!read) return tl::unexpected(read.error());
  if (read->robot) return std::move(*read->robot);
  return failure(ErrorKind::bad_input, "robot.has-errors",
                 has_errors(robot_path) + "\n" + render_all(read->found, read->texts));
}

Result<Simulated> load_simulated(const std::string& robot_path, const std::optional<std::string>& deviations_path,
                                 const CatalogueFolders& folders) {
  Simulated simulated;
  simulated.robot_path = robot_path;
  std::vector<SourceText> texts;
  Diagnostics found;
  if (deviations_path) {
    auto text = os::read_text(*deviations_path);
    if (!text) return tl::unexpected(text.error());
    texts.emplace_back(*deviations_path, std::move(*text));
    auto deviations = plant::read_deviations(texts.back(), found);
    if (deviations) {
      simulated.deviations = std::move(*deviations);
      if (!simulated.deviations.robot_file.empty()) {
        const fs::path beside = fs::path(*deviations_path).parent_path() / simulated.deviations.robot_file;
        simulated.robot_path = beside.lexically_normal().string();
      }
    }
  }
  if (!found.has_errors()) {
    auto drawn = load_robot(simulated.robot_path, folders);
    if (!drawn) return tl::unexpected(drawn.error());
    simulated.drawn = std::move(*drawn);
    if (deviations_path) plant::check_deviations(simulated.deviations, simulated.drawn, texts.back(), found);
  }
  if (!found.has_errors()) return simulated;
  return failure(ErrorKind::bad_input, "deviations.has-errors",
                 has_errors(*deviations_path) + "\n" + render_all(found, texts));
}

}  // namespace ringout::reach
