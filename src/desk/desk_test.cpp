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
  // 12 V / 20 A of winding and some wire would take 17 A: the driver chops at its 10 A. Its motor then has 10 A times
  // 0.6 ohm of winding, 60 mohm of driver, 18.4 mohm of wire (16 AWG, 0.7 m there and back) and 6 mohm of contacts.
  CHECK(left.current.si == doctest::Approx(10.0));
  CHECK(left.level * left.supply.si == doctest::Approx(10.0 * (0.6 + 0.060 + 0.0184 + 0.006)).epsilon(0.003));
  CHECK(left.supply_current.si == doctest::Approx(left.level * left.current.si));
  CHECK(c->battery_current.si ==
        doctest::Approx(left.supply_current.si + right.supply_current.si + robot.board.idle_current.si).epsilon(0.02));
  CHECK(c->battery_terminals.si == doctest::Approx(c->open_circuit.si - c->internal.si * c->battery_current.si));
}

TEST_CASE("a servo with a feed of its own loads its protection, not the controller") {
  robot::Robot robot = demonstration();
  const DeskReport before = desk_check(robot, {.draws = 0});
  robot.outputs.push_back(robot::testing::servo_on(robot, "fuse_lift"));
  const DeskReport after = desk_check(robot, {.draws = 0});
  const auto* servo = robot.device_of(robot.outputs.back().device).as<robot::ServoDevice>();
  const auto index = static_cast<std::size_t>(robot.protection("fuse_lift") - robot.protections.data());
  const auto held = [&](const DeskReport& r, std::size_t p) {
    return r.find_case("all_at_asked_speed")->protections[p].current.si;
  };
  CHECK(held(after, index) - held(before, index) == doctest::Approx(servo->stall_current.si).epsilon(0.02));
  const auto board = static_cast<std::size_t>(robot.protection(robot.board_fed_by) - robot.protections.data());
  CHECK(held(after, board) == doctest::Approx(held(before, board)));
  const OutputFigures& f = of_output(robot, *after.find_case("all_at_asked_speed"), "tilt");
  CHECK(f.current.si == servo->stall_current.si);
  CHECK(f.device.si > robot.board.logic.si);
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
