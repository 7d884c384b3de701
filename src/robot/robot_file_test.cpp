#include "robot/robot_file.h"

#include <doctest/doctest.h>

#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

TEST_CASE("the demonstration robot reads with every name resolved") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  CHECK(robot.name == "tray_carrier");
  CHECK(robot.invented);
  CHECK(robot.outputs.size() == 7);
  CHECK(robot.inputs.size() == 9);
  const Output* lift = robot.output("lift");
  REQUIRE(lift != nullptr);
  CHECK(robot.port_of(lift->port).index == 2);
  REQUIRE(lift->mechanism);
  CHECK(lift->mechanism->travel_is_length);
  CHECK(lift->mechanism->travel->high == doctest::Approx(0.3));
  CHECK(lift->mechanism->radius->si == doctest::Approx(0.008 / (2 * pi)));
  CHECK(lift->low_switch == "lift_bottom");
  const MotorDevice* motor = robot.device_of(lift->device).as<MotorDevice>();
  REQUIRE(motor != nullptr);
  CHECK(motor->free_speed.in(rpm(1)) == doctest::Approx(3800));
  CHECK(robot.feed_chain(lift->fed_by).size() == 2);
  CHECK(robot.feed_chain(lift->fed_by)[0]->name == "main_breaker");
  const Input* range = robot.input("range_ahead");
  REQUIRE(range != nullptr);
  CHECK(range->at.of("port").line > 300);
}
