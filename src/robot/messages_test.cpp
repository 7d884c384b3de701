// Every message as a person sees it, against golden files; RINGOUT_UPDATE_GOLDEN=1 rewrites them.

#include <doctest/doctest.h>

#include "robot/robot_file.h"
#include "robot/testing.h"
#include "tests/golden.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

const std::string folder = "tests/golden/robot/";

std::string rendered(const Diagnostics& found, const SourceText& text) {
  std::string out;
  for (const Diagnostic& d : found.all()) out += render(d, &text);
  return out;
}

std::string messages_of_robot(const SourceText& text) {
  Diagnostics found;
  const std::optional<Robot> robot = read_robot(text, robot::testing::shipped_catalogue(RINGOUT_SOURCE_DIR), found);
  if (robot) check_references(*robot, found);
  found.sort_by_place();
  return rendered(found, text);
}

std::string messages_of_catalogue(const SourceText& text) {
  std::vector<SourceText> texts = robot::testing::catalogue_texts(RINGOUT_SOURCE_DIR);
  texts.push_back(text);
  Diagnostics found;
  const Catalogue catalogue = read_catalogue(texts, found);
  CHECK(catalogue.device("drive_motor_12v")->source == "invented");
  found.sort_by_place();
  return rendered(found, text);
}

void compare(const std::string& name, std::string (*messages)(const SourceText&)) {
  CAPTURE(name);
  SourceText text = robot::testing::load_text(RINGOUT_SOURCE_DIR, folder + name + ".toml");
  text = SourceText(name + ".toml", text.text());
  ringout::testing::check_golden("robot/" + name + ".txt", messages(text));
}

}  // namespace

TEST_CASE("all mistakes of a robot file are told in one run") {
  compare("many_errors", messages_of_robot);
}
TEST_CASE("the first syntax error is told alone") {
  compare("syntax_error", messages_of_robot);
}
TEST_CASE("mistakes in tolerances, load cases and duty cycles") {
  compare("cases", messages_of_robot);
}
TEST_CASE("what is wrong with a robot that reads") {
  compare("references", messages_of_robot);
}
TEST_CASE("mistakes of a catalogue file") {
  compare("catalogue_errors", messages_of_catalogue);
}
