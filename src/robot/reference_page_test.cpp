// docs/robot_file.md: its examples read without any finding, and it lists every finding's id.

#include <doctest/doctest.h>

#include <filesystem>
#include <regex>
#include <set>

#include "robot/robot_file.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

struct Examples {
  std::string robot;      // the blocks before the chapter on catalogue files, in their order
  std::string catalogue;  // those in it
};

Examples examples_of(const std::string& page) {
  Examples out;
  const std::size_t chapter = page.find("\n## Catalogue files");
  REQUIRE(chapter != std::string::npos);
  std::size_t at = 0;
  while ((at = page.find("```toml\n", at)) != std::string::npos) {
    const std::size_t begin = at + 8;
    const std::size_t end = page.find("```", begin);
    REQUIRE(end != std::string::npos);
    (at < chapter ? out.robot : out.catalogue) += page.substr(begin, end - begin) + "\n";
    at = end + 3;
  }
  return out;
}

std::set<std::string> ids_in(const std::string& text, const char* opening) {
  std::set<std::string> out;
  const std::regex pattern(std::string(opening) + "((file|catalogue|robot)\\.[a-z-]+)" + opening);
  for (std::sregex_iterator i(text.begin(), text.end(), pattern), end; i != end; ++i) out.insert((*i)[1]);
  return out;
}

}  // namespace

TEST_CASE("the examples of the reference page read without any finding") {
  const Examples examples = examples_of(testing::load_text(RINGOUT_SOURCE_DIR, "docs/robot_file.md").text());
  std::vector<SourceText> texts = testing::catalogue_texts(RINGOUT_SOURCE_DIR);
  texts.emplace_back("catalogue example", examples.catalogue);
  const SourceText robot_text("robot example", examples.robot);
  Diagnostics found;
  const Catalogue catalogue = read_catalogue(texts, found);
  const std::optional<Robot> robot = read_robot(robot_text, catalogue, found);
  if (robot) check_references(*robot, found);
  for (const Diagnostic& d : found.all()) FAIL_CHECK(render(d, nullptr));
  REQUIRE(robot.has_value());
  CHECK(robot->outputs.size() == 4);
  CHECK(robot->inputs.size() == 5);
  const Board* board = catalogue.board("bench_modules");
  REQUIRE(board != nullptr);
  CHECK(board->ports.size() == 4);
  CHECK_FALSE(board->outputs_off_in_reset);
  CHECK(board->find("M1")->drive == DriveMode::pwm_and_direction);
  CHECK(catalogue.device("salvaged_wiper_motor") != nullptr);
  CHECK(robot->load_cases.size() == 2);
  REQUIRE(robot->duty_cycles.size() == 1);
  CHECK(robot->duty_cycles[0].steps.size() == 3);
  CHECK(robot->tolerances.size() > 8);
  const auto* motor = catalogue.device("surplus_motor_24v")->as<MotorDevice>();
  REQUIRE(motor->heat.has_value());
  CHECK(motor->heat->winding_capacity.si == doctest::Approx(4.0));  // 18 s / 4.5 K/W
  CHECK(catalogue.device("midget_fuse_8a")->as<ProtectionDevice>()->limits.size() == 3);
}

TEST_CASE("the reference page lists the id of every finding, and no other") {
  std::set<std::string> in_code;
  for (const auto& entry : std::filesystem::directory_iterator(std::string(RINGOUT_SOURCE_DIR) + "/src/robot")) {
    const std::string name = entry.path().filename().string();
    if (name.find("_test.") != std::string::npos || entry.path().extension() != ".cpp") continue;
    in_code.merge(ids_in(testing::load_text(RINGOUT_SOURCE_DIR, "src/robot/" + name).text(), "\""));
  }
  CHECK(in_code.size() > 40);
  const std::set<std::string> on_page =
      ids_in(testing::load_text(RINGOUT_SOURCE_DIR, "docs/robot_file.md").text(), "`");
  for (const std::string& id : in_code) {
    CAPTURE(id);
    CHECK(on_page.count(id) == 1);
  }
  for (const std::string& id : on_page) {
    CAPTURE(id);
    CHECK(in_code.count(id) == 1);
  }
}
