#include "bind/points_hpp.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "bind/test_robot.h"
#include "tests/golden.h"

namespace ringout::bind {
TEST_CASE("points.hpp of the tray carrier is as in the golden file") {
  const auto text = points_hpp(tray_carrier_for_tests());
  REQUIRE(text);
  ringout::testing::check_golden("bind/points.hpp", *text);
}

TEST_CASE("points.hpp says nothing of ports, signs, scales or limits") {
  robot::Robot robot = tray_carrier_for_tests();
  const auto before = points_hpp(robot);
  std::swap(robot.outputs[3].port, robot.outputs[5].port);
  robot.outputs[0].reversed = true;
  robot.outputs[0].max_level = 0.3;
  robot.outputs[2].low_switch = "lift_top";
  robot.inputs[0].device = "potentiometer_270";
  CHECK(*points_hpp(robot) == *before);
}

TEST_CASE("points.hpp compiles as C++14, and only once defines the names") {
  const auto text = points_hpp(tray_carrier_for_tests());
  REQUIRE(text);
  const std::filesystem::path folder = std::filesystem::path(RINGOUT_BINARY_DIR) / "points_hpp_test";
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "points.hpp") << *text;
  std::ofstream(folder / "use.cpp")
      << "#define RINGOUT_DEFINE_POINTS\n#include \"points.hpp\"\n"
         "static_assert(points::lift.number == 2 && points::range_ahead.number == 15, \"\");\n";
  const std::string compile = "c++ -std=c++14 -Wall -Wextra -Werror -fsyntax-only -I " + folder.string() + " -I " +
                              RINGOUT_SOURCE_DIR + " " + (folder / "use.cpp").string();
  CHECK(std::system(compile.c_str()) == 0);
}

TEST_CASE("names that a program cannot use are refused") {
  const struct {
    const char* name;
    const char* id;
  } bad[] = {{"switch", "bind.name-not-usable"},     {"2nd_lift", "bind.name-not-usable"},
             {"lift motor", "bind.name-not-usable"}, {"_lift", "bind.name-not-usable"},
             {"a__b", "bind.name-not-usable"},       {"", "bind.name-not-usable"},
             {"drive_right", "bind.name-twice"},     {"a_name_of_thirty_three_letters_xy", "bind.name-not-usable"},
             {"step", "bind.name-not-usable"},       {"SP", "bind.name-not-usable"},
             {"Motor", "bind.name-not-usable"}};
  for (const auto& b : bad) {
    CAPTURE(b.name);
    robot::Robot robot = tray_carrier_for_tests();
    robot.outputs[0].name = b.name;
    const auto text = points_hpp(robot);
    REQUIRE(!text);
    CHECK(text.error().id == b.id);
  }
  robot::Robot robot = tray_carrier_for_tests();
  robot.outputs[0].name = "a_name_of_thirty_two_letters_xyz";
  CHECK(points_hpp(robot));
  for (int i = 0; i < 60; ++i) {
    robot.inputs.push_back(robot.inputs[0]);
    robot.inputs.back().name = "spare" + std::to_string(i);
  }
  CHECK(points_hpp(robot).error().id == "bind.too-many-points");
}

}  // namespace ringout::bind
