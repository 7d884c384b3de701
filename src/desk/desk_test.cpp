#include "desk/desk.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "desk/motor_curves.h"
#include "desk/tolerance.h"
#include "robot/testing.h"

namespace ringout::desk {
namespace {

robot::Robot demonstration() {
  return robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
}

const OutputFigures& of_output(const robot::Robot& robot, const CaseReport& report, const char* name) {
  for (const OutputFigures& f : report.outputs) {
    if (robot.outputs[f.output].name == name) return f;
  }
  FAIL("no figures of ", name);
  return report.outputs.front();
}

}  // namespace

TEST_CASE("every case of the demonstration robot is solved, and its currents and powers close") {
  const robot::Robot robot = demonstration();
  const DeskReport report = desk_check(robot);
  REQUIRE(report.cases.size() >= 5);
  for (const CaseReport& c : report.cases) {
    CAPTURE(c.name);
    REQUIRE_FALSE(c.unsolved);
    CHECK(c.imbalance < 1e-9);
    CHECK(c.residual.si < 1e-9);
    CHECK(c.nodes.size() == report.nodes.size());
    CHECK(c.branches.size() == report.branches.size());
    CHECK(c.wires.size() == report.wires.size());
    CHECK(c.protections.size() == robot.protections.size());
    CHECK(c.controller < c.open_circuit);
  }
  for (const BranchLabel& b : report.branches) CHECK_FALSE(b.name.empty());
}

TEST_CASE("both drives stalled, by hand") {
  const robot::Robot robot = demonstration();
  const DeskReport report = desk_check(robot);
  const CaseReport* c = report.find_case("drives_stalled");
  REQUIRE(c != nullptr);
  CHECK(c->outputs.size() == 2);
  const OutputFigures& left = of_output(robot, *c, "drive_left");
  const OutputFigures& right = of_output(robot, *c, "drive_right");
  CHECK(left.current.si == doctest::Approx(right.current.si));
  CHECK(left.output_speed.si == 0.0);
  // The driver chops at its limit, so its motor voltage is lower than its supply and the supply current less.
  const Current limit = robot.port_of("OUT1").current_limit;
  CHECK(left.current <= limit);
  CHECK(left.supply_current.si == doctest::Approx(left.level * left.current.si));
  CHECK(c->battery_current.si ==
        doctest::Approx(left.supply_current.si + right.supply_current.si + robot.board.idle_current.si).epsilon(0.02));
  CHECK(c->battery_terminals.si == doctest::Approx(c->open_circuit.si - c->internal.si * c->battery_current.si));
}

TEST_CASE("a branch stalled alone agrees with the whole network's answer to the same case") {
  const robot::Robot robot = demonstration();
  CaseSolver solver(robot);
  std::vector<std::size_t> outputs(robot.outputs.size());
  std::iota(outputs.begin(), outputs.end(), std::size_t{0});
  const auto stalls = branch_stalls(robot, solver.layout(), outputs);
  REQUIRE(stalls.size() == 5);
  for (const BranchStall& stall : stalls) {
    CAPTURE(robot.outputs[stall.output].name);
    CaseSetting setting = setting_of(robot, solver.layout(), {});
    setting.outputs[stall.output] = {.loading = robot::Loading::stalled,
                                     .level = robot.outputs[stall.output].max_level};
    const auto whole = solver.solve(setting);
    REQUIRE(whole);
    const LoadState& state = (*whole)->chopped_loads[solver.layout().outputs[stall.output].load];
    CHECK(stall.current.si == doctest::Approx(state.current.si).epsilon(1e-5));
    CHECK(stall.supply_current.si == doctest::Approx(state.supply_current.si).epsilon(1e-5));
    CHECK(stall.controller.si == doctest::Approx((*whole)->nodes[solver.layout().board].si).epsilon(1e-6));
  }
}

TEST_CASE("halving any wire of the robot never raises its drop") {
  const robot::Robot robot = demonstration();
  const DeskReport before = desk_check(robot, {.draws = 0});
  const std::size_t worst = before.by_severity.front();
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    robot::Robot halved = robot;
    halved.outputs[o].wire.length = robot.outputs[o].wire.length * 0.5;
    const DeskReport after = desk_check(halved, {.draws = 0});
    const std::size_t wire = 2 + robot.protections.size() + o;
    CHECK(after.cases[worst].wires[wire].drop.si <= before.cases[worst].wires[wire].drop.si + 1e-12);
  }
  for (std::size_t p = 0; p < robot.protections.size(); ++p) {
    robot::Robot halved = robot;
    halved.protections[p].wire.length = robot.protections[p].wire.length * 0.5;
    const DeskReport after = desk_check(halved, {.draws = 0});
    CHECK(after.cases[worst].wires[1 + p].drop.si <= before.cases[worst].wires[1 + p].drop.si + 1e-12);
  }
}

}  // namespace ringout::desk
