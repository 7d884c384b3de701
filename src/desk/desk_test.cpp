#include "desk/desk.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "desk/motor_curves.h"
#include "desk/motor_start.h"
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

TEST_CASE("a motor whose driver limits it, by hand") {
  const robot::Robot robot = demonstration();
  const DeskReport report = desk_check(robot, {.draws = 0});
  const MotorCurve& left = report.motors.front();
  REQUIRE(robot.outputs[left.output].name == "drive_left");
  // 12.78 V over 0.6 ohm of winding, 86 mohm to its driver, 43 mohm before it would be 17.6 A; its driver holds 10 A.
  CHECK(left.line_stall.si == doctest::Approx(17.6).epsilon(0.005));
  CHECK(left.stall_current.si == doctest::Approx(10.0));
  CHECK(left.stall_torque.si == doctest::Approx(0.02165 * 10.0).epsilon(1e-3));
  CHECK(left.stall_torque_hot->si == doctest::Approx(0.02165 * 0.8 * 10.0).epsilon(1e-3));  // -0.2 %/K, 100 K
  // 4.117e-5 kg*m2 at the rotor (1.2e-5, and 0.084 over 60^2 and 80 %); load 0.784 A. Evenly at 0.02165*9.216/4.117e-5
  // = 4847 rad/s2 to 254 rad/s at the corner, the rest of the way exponentially, 63.9 ms without and 63.3 ms with the
  // viscous load.
  CHECK(left.starting.si == doctest::Approx(4847).epsilon(2e-3));
  CHECK(left.to_63_percent.si == doctest::Approx(77.4e-3).epsilon(2e-3));
  // Half of 17.6 A and the free 0.35 A are within the limit: 187 mN*m and half the free speed.
  CHECK(left.at_most_power.si == doctest::Approx(0.1866).epsilon(2e-3));
}

TEST_CASE("the time to 63 % is that of the start integrated, winding's inductance aside") {
  const robot::Robot robot = demonstration();
  const DeskReport report = desk_check(robot, {.draws = 0});
  const Layout layout = lay_out(robot);
  for (const MotorCurve& curve : report.motors) {
    CAPTURE(robot.outputs[curve.output].name);
    const auto start = motor_start(robot, layout, curve.output);
    REQUIRE(start);
    constexpr int points = 20000;
    const Time duration = start_duration(*start);
    const auto course = start_curve(*start, duration, points);
    const double wanted = (1.0 - std::exp(-1.0)) * course.back().speed.si;
    const auto there =
        std::find_if(course.begin(), course.end(), [&](const StartPoint& p) { return p.speed.si >= wanted; });
    // Until the current has risen the motor does not pull.
    const double electric = (start->inductance / start->loop).si;
    CHECK(there->at.si > curve.to_63_percent.si * 0.98);
    CHECK(there->at.si < curve.to_63_percent.si * 1.02 + 2.0 * electric);
  }
}

TEST_CASE("a motor's curve ends where its driver's limit ends it") {
  const robot::Robot robot = demonstration();
  const DeskReport report = desk_check(robot, {.draws = 0});
  for (const MotorCurve& curve : report.motors) {
    CAPTURE(robot.outputs[curve.output].name);
    const bool limited = curve.stall_current < curve.line_stall;
    const auto points = points_of(curve, 100);
    REQUIRE(points.size() == (limited ? 102 : 101));
    CHECK(points.front().speed.si == doctest::Approx(curve.free_speed.si));
    CHECK(points.back().current.si == doctest::Approx(curve.stall_current.si));
    CHECK(points.back().speed.si == doctest::Approx(0.0));
    double power = 0.0, efficiency = 0.0;
    for (const MotorPoint& p : points) {
      power = std::max(power, p.power.si);
      efficiency = std::max(efficiency, p.efficiency);
    }
    CHECK(power == doctest::Approx(curve.most_power.si).epsilon(1e-3));
    CHECK(efficiency == doctest::Approx(curve.most_efficiency).epsilon(1e-3));
  }
}

TEST_CASE("held still a motor that a duty cycle has warmed reaches its limit sooner") {
  robot::Robot robot = demonstration();
  robot.duty_cycles.push_back(robot.duty_cycles.front());
  for (robot::DutyStep& step : robot.duty_cycles.back().steps) step.loads.clear();  // a cooler one
  const DeskReport report = desk_check(robot, {.draws = 0});
  for (const BranchStall& stall : report.branch_stalls) {
    CAPTURE(robot.outputs[stall.output].name);
    const auto& motors = report.duties.front().motors;
    const auto heat =
        std::find_if(motors.begin(), motors.end(), [&](const MotorHeatFigures& m) { return m.output == stall.output; });
    REQUIRE(stall.winding_limit_after);
    REQUIRE(stall.warm_limit_after);
    REQUIRE(heat != motors.end());
    CHECK(*stall.warm_limit_after < *stall.winding_limit_after);
    // Two bodies in small steps, copper's loss after its temperature.
    const auto* device = robot.device_of(robot.outputs[stall.output].device).as<robot::MotorDevice>();
    const double cold_loss = (motor_row(*device)->constants.winding * stall.current * stall.current).si;
    double winding = heat->settled.si, housing = heat->settled_housing.si, after = 0.0;
    constexpr double dt = 1e-3, zero = 273.15 - 234.5;
    for (; winding < heat->limit.si; after += dt) {
      const double to_housing = (winding - housing) / device->heat->winding_to_housing.si;
      const double to_ambient = (housing - robot.ambient.si) / device->heat->housing_to_ambient.si;
      const double loss = cold_loss * (winding - zero) / (celsius(25).si - zero);
      winding += dt * (loss - to_housing) / device->heat->winding_capacity.si;
      housing += dt * (to_housing - to_ambient) / device->heat->housing_capacity.si;
    }
    CHECK(stall.warm_limit_after->si == doctest::Approx(after).epsilon(1e-3));
  }
  robot.duty_cycles.clear();
  CHECK_FALSE(desk_check(robot, {.draws = 0}).branch_stalls.front().warm_limit_after);
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
