#include "robot/path.h"

#include <doctest/doctest.h>

#include <set>

#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

std::string names(const Path& path) {
  std::string out;
  for (const Part& part : path) out += (out.empty() ? "" : " > ") + part.name;
  return out;
}

}  // namespace

TEST_CASE("an output's path runs from the battery to the mechanism") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  CHECK(names(path_of(robot, *robot.output("lift"))) ==
        "battery > battery supply wire > main_breaker supply wire > main_breaker > fuse_lift supply wire > fuse_lift > "
        "resettable_controller supply wire > resettable_controller > board supply wire > board > link > firmware > "
        "program > binding > port OUT3 > lift wire > lift connector > lift motor > lift gear > lift mechanism");
  CHECK(names(path_of(robot, *robot.output("mist_pump"))).find("mist_pump connector > mist_pump load") !=
        std::string::npos);
}

TEST_CASE("an input's path holds what it senses, as far as its motion comes from") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const std::string on_motor = names(path_of(robot, *robot.input("lift_encoder")));
  CHECK(on_motor.find("board sensor supply > lift motor > lift_encoder sensor") != std::string::npos);
  CHECK(on_motor.find("lift gear") == std::string::npos);
  const std::string on_output = names(path_of(robot, *robot.input("clamp_position")));
  CHECK(on_output.find("clamp gear > clamp mechanism > clamp_position sensor") != std::string::npos);
  CHECK(names(path_of(robot, *robot.input("range_ahead"))).find("mechanism") == std::string::npos);
}

TEST_CASE("a part is in a path once, and a shared part has one name in all paths") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  for (const Output& o : robot.outputs) {
    std::set<std::string> seen;
    for (const Part& part : path_of(robot, o)) {
      CAPTURE(part.name);
      CHECK(seen.insert(part.name).second);
    }
    for (const char* shared : {"battery", "main_breaker", "board", "program"}) CHECK(seen.count(shared) == 1);
  }
  for (const Part& part : path_of(robot, *robot.output("lift"))) {
    if (part.kind == PartKind::gear) CHECK(part.owner == Discipline::mechanics);
    if (part.kind == PartKind::binding) CHECK(part.owner == Discipline::programming);
    if (part.kind == PartKind::wire) CHECK(part.access.effort == seconds(360));
  }
}
