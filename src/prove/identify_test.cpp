#include "prove/identify.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "prove/expectation.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::prove;

TEST_CASE("points that no bump can tell of take no place among the outputs on bridges") {
  robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  std::vector<robot::Output> servos;
  for (int i = 0; i < 20; ++i) {
    const std::string number = std::to_string(i);
    robot::BoardPort port;
    port.name = "SV" + number;
    port.kind = robot::PortKind::servo;
    port.index = static_cast<std::uint8_t>(i);
    r.board.ports.push_back(port);
    robot::Output servo;
    servo.name = "flap_" + number;
    servo.kind = robot::PointKind::servo;
    servo.port = port.name;
    servos.push_back(servo);
  }
  r.outputs.insert(r.outputs.begin(), servos.begin(), servos.end());
  const Identification id = identify(r, {}, {});
  for (const robot::Output& o : r.outputs) {
    CAPTURE(o.name);
    const auto found =
        std::find_if(id.findings.begin(), id.findings.end(), [&](const Finding& f) { return f.point == o.name; });
    REQUIRE(found != id.findings.end());
    CHECK(found->condition == Condition::untested);
    const bool servo = o.kind == robot::PointKind::servo;
    CHECK((found->evidence == "no bump can tell of this kind of point") == servo);
  }
  CHECK(std::count_if(id.findings.begin(), id.findings.end(),
                      [](const Finding& f) { return f.point == "belt_encoder"; }) == 1);
}

TEST_CASE("a load shares with the controller what feeds both") {
  robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const robot::Output& lamp = *r.output("warning_lamp");
  CHECK(drawn_common_ohms(r, lamp) == doctest::Approx(drawn_source_ohms(r)));
  const robot::Protection& branch = *r.protection(r.board_fed_by);
  const double branch_ohms = r.device_of(branch.device).as<robot::ProtectionDevice>()->cold.si + branch.wire.loop().si;
  REQUIRE(branch_ohms > 0.01);
  robot::Output moved = lamp;
  moved.fed_by = branch.name;
  CHECK(drawn_common_ohms(r, moved) == doctest::Approx(drawn_source_ohms(r) + branch_ohms));
}
