#include "find/robot/robot_model.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "find/find.h"
#include "find/robot/testing.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::faults;

TEST_CASE("the model of the demonstration robot has no problem, whatever is complained of") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const FaultRows rows = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  std::vector<Trouble> all;
  for (const auto& o : robot.outputs) {
    for (const Symptom s : symptoms_of(o.kind)) all.push_back({o.name, s});
  }
  for (const auto& i : robot.inputs) {
    for (const Symptom s : symptoms_of(i.kind)) all.push_back({i.name, s});
  }
  all.push_back({"", Symptom::nothing_answers});
  for (const Trouble& t : all) {
    CAPTURE(t.point);
    CAPTURE(name_of(t.symptom));
    const RobotModel m = robot_model(robot, rows, {{t}});
    for (const find::Problem& p : find::problems(m.model)) FAIL_CHECK(p.message);
    CHECK(m.faults.size() == m.model.modes.size());
    CHECK(m.checks.size() == m.model.observations.size());
    CHECK(m.repairs.size() == m.model.repairs.size());
    CHECK(m.model.symptoms.size() == 1);
  }
}
