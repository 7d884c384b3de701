#include "checks/shown.h"

#include <doctest/doctest.h>

#include "robot/testing.h"

namespace {

using namespace ringout;
using namespace ringout::checks;
using faults::Shown;

prove::Look look(prove::Saw saw, const std::string& point = "", int direction = 0) {
  return {.bridge = 3, .saw = saw, .point = point, .direction = direction};
}

TEST_CASE("what a person saw of a bump, and what she saw only once") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const robot::Output& clamp = *robot.output("clamp");
  CHECK(read_looks(clamp, {look(prove::Saw::device, "clamp", 1)}).shown == Shown::as_should);
  CHECK(read_looks(clamp, {look(prove::Saw::device, "clamp", -1)}).shown == Shown::wrong_way);
  CHECK(read_looks(clamp, {look(prove::Saw::device, "mist_pump", 0)}).shown == Shown::elsewhere);
  CHECK(read_looks(clamp, {look(prove::Saw::something_else)}).shown == Shown::elsewhere);
  CHECK(read_looks(clamp, {look(prove::Saw::nothing), look(prove::Saw::nothing)}).shown == Shown::nothing);
  CHECK(read_looks(clamp, {look(prove::Saw::nothing), look(prove::Saw::device, "clamp", 1)}).shown == Shown::at_times);
  CHECK(!read_looks(clamp, {}).shown);
  CHECK(read_looks(clamp, {look(prove::Saw::device, "mist_pump", 0)}).where == "mist_pump");
  // Its leads are drawn the other way round, so that a positive level at the port is a negative value.
  const robot::Output& right = *robot.output("drive_right");
  REQUIRE(right.reversed);
  CHECK(read_looks(right, {look(prove::Saw::device, "drive_right", -1)}).shown == Shown::as_should);
  CHECK(read_looks(right, {look(prove::Saw::device, "drive_right", 1)}).shown == Shown::wrong_way);
}

TEST_CASE("what an earlier proving found of a point") {
  prove::Finding found{.point = "clamp", .drawn_port = "OUT4", .found_port = "OUT4", .evidence = "OUT4 answered"};
  found.condition = prove::Condition::answers;
  found.sign = prove::Sign::as_drawn;
  CHECK(read_record({found}, "clamp").shown == Shown::as_should);
  CHECK(read_record({found}, "belt").shown == Shown::never);
  found.found_port = "OUT6";
  CHECK(read_record({found}, "clamp").shown == Shown::differs);
}

TEST_CASE("inputs at rest: quiet, restless, or a value that cannot be") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const robot::Input& position = *robot.input("clamp_position");
  const std::uint8_t channel = *robot.port_of(position.port).adc_channel;
  const auto samples = [&](int even, int odd) {
    std::vector<capture::Sample> out(40);
    for (std::size_t i = 0; i < out.size(); ++i) {
      out[i].encoders.assign(8, 0);
      out[i].adc.assign(16, 0);
      out[i].adc[channel] = static_cast<std::uint16_t>(i % 2 == 0 ? even : odd);
    }
    return out;
  };
  CHECK(read_at_rest(robot, position, samples(512, 513)).shown == Shown::as_should);
  CHECK(read_at_rest(robot, position, samples(1023, 1023)).shown == Shown::out_of_range);
  CHECK(read_at_rest(robot, position, samples(100, 900)).shown == Shown::at_times);
  std::vector<capture::Sample> chatter = samples(512, 512);
  chatter[7].switches = 0xFFFF;
  CHECK(read_at_rest(robot, *robot.input("lift_top"), chatter).shown == Shown::at_times);
  CHECK(!read_at_rest(robot, position, {}).shown);
}

TEST_CASE("what a check cannot tell apart becomes the nearest thing that it can") {
  const std::vector<Shown> outcomes{Shown::as_should, Shown::other_device, Shown::nothing};
  CHECK(nearest_outcome(Shown::nothing, outcomes) == 2);
  CHECK(nearest_outcome(Shown::elsewhere, outcomes) == 1);
  CHECK(nearest_outcome(Shown::held, outcomes) == 2);
  CHECK(!nearest_outcome(Shown::differs, outcomes));
}

}  // namespace
