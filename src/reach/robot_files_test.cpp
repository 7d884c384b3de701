#include "reach/robot_files.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>

#include "os/files.h"

using namespace ringout;
using namespace ringout::reach;
namespace fs = std::filesystem;

namespace {

const CatalogueFolders shipped{"data"};
const std::string tray_carrier = "examples/tray_carrier/robot.toml";

struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "ringout-robot-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path = name;
  }
  ~Folder() { fs::remove_all(path); }
  std::string put(const std::string& name, const std::string& text) const {
    REQUIRE(os::write_atomically((path / name).string(), text).has_value());
    return (path / name).string();
  }
  fs::path path;
};

}  // namespace

TEST_CASE("the demonstration robot is loaded from its file and the shipped catalogue") {
  const auto robot = load_robot(tray_carrier, shipped);
  REQUIRE_MESSAGE(robot.has_value(), (robot ? "" : robot.error().message));
  CHECK(robot->output("lift") != nullptr);
  CHECK(robot->board.chip == "atmega2560");
}

TEST_CASE("a missing file, and a file with errors, are told apart") {
  CHECK(load_robot("no/robot.toml", shipped).error().id == "file.not-found");
  const Folder folder;
  const auto broken = load_robot(folder.put("robot.toml", "name = \n"), shipped);
  REQUIRE_FALSE(broken.has_value());
  CHECK(broken.error().id == "robot.has-errors");
  CHECK(broken.error().message.find("robot.toml:1:") != std::string::npos);
}

TEST_CASE("what is found is told worst first, each kind by its place") {
  Diagnostics found;
  for (const auto& [severity, line] : {std::pair{Severity::note, 1}, std::pair{Severity::warning, 9},
                                       std::pair{Severity::warning, 4}, std::pair{Severity::error, 12}}) {
    found.add({severity, "x.y", "no", "", {line, 1, 1}, "f", ""});
  }
  CHECK(render_all(found, {}) ==
        "f:12:1: error: no [x.y]\nf:4:1: warning: no [x.y]\nf:9:1: warning: no [x.y]\nf:1:1: note: no [x.y]\n");
}

TEST_CASE("without deviations a simulated robot is as drawn") {
  const auto simulated = load_simulated(tray_carrier, std::nullopt, shipped);
  REQUIRE(simulated.has_value());
  CHECK(simulated->deviations.all.empty());
  CHECK(simulated->robot_path == tray_carrier);
}

TEST_CASE("the robot that a deviations file names is the truth, whatever the team's own copy says") {
  const Folder folder;
  const std::string own_copy = folder.put("robot.toml", "this is no robot file");
  const auto simulated = load_simulated(own_copy, "examples/tray_carrier/deviations/connector_repair.toml", shipped);
  REQUIRE_MESSAGE(simulated.has_value(), (simulated ? "" : simulated.error().message));
  CHECK(simulated->robot_path == "examples/tray_carrier/robot.toml");
  CHECK(simulated->deviations.all.size() == 2);
}

TEST_CASE("a deviations file with errors is shown with its lines") {
  const Folder folder;
  const auto simulated =
      load_simulated(tray_carrier, folder.put("odd.toml", "[[deviation]]\nkind = \"odd\"\n"), shipped);
  REQUIRE_FALSE(simulated.has_value());
  CHECK(simulated.error().id == "deviations.has-errors");
  CHECK(simulated.error().message.find("odd.toml:2:") != std::string::npos);
}

TEST_CASE("a team's own catalogue folder beside the robot file counts") {
  const Folder folder;
  const auto text = os::read_text(tray_carrier);
  REQUIRE(text.has_value());
  const std::string robot = folder.put("robot.toml", *text);
  for (const char* part : {"boards", "devices"}) {
    for (const std::string& file : os::files_in(std::string("data/") + part, ".toml")) {
      folder.put(std::string("catalogue/") + part + "/" + fs::path(file).filename().string(), *os::read_text(file));
    }
  }
  CHECK(load_robot(robot, {}).has_value());
}
