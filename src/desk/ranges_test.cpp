#include "desk/ranges.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "desk/case_figures.h"
#include "desk/moved_robot.h"
#include "desk/reach.h"
#include "desk/report_figures.h"
#include "desk/tolerance.h"
#include "robot/quantity_paths.h"
#include "robot/testing.h"

namespace ringout::desk {
namespace {

const robot::Robot& demonstration() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}
const DeskReport& report() {
  static const DeskReport report = desk_check(demonstration());
  return report;
}

// The demonstration robot with these tolerances and no others.
robot::Robot with(std::vector<robot::Tolerance> tolerances) {
  robot::Robot robot = demonstration();
  robot.tolerances = std::move(tolerances);
  return robot;
}

const FigureRange& range_of(const DeskReport& report, RangeOf what, std::size_t of = 0, std::size_t part = 0) {
  const FigureRange* range = report.range(what, of, part);
  REQUIRE(range != nullptr);
  return *range;
}

}  // namespace

TEST_CASE("what is added up from one tolerance at a time agrees with full draws of all at once") {
  const DeskReport& r = report();
  REQUIRE(r.spread);
  const auto drawn = [&](const char* name) {
    const auto at = std::find_if(r.spread->figures.begin(), r.spread->figures.end(),
                                 [&](const SpreadFigure& f) { return f.name == name; });
    REQUIRE(at != r.spread->figures.end());
    return *at;
  };
  const auto same = [](const Interval& a, const Interval& b) {
    CHECK(a.nominal == doctest::Approx(b.nominal).epsilon(1e-9));
    const double width = b.high - b.low;
    // Measured: 5.1 % at the low end of the controller's voltage, 1.1 % at most else. It is what two tolerances do
    // together; an end of that voltage, shown to 10 mV, is moved by 16 mV.
    CHECK(std::abs(a.low - b.low) < 0.06 * width);
    CHECK(std::abs(a.high - b.high) < 0.06 * width);
  };
  const SpreadFigure controller = drawn("controller voltage"), battery = drawn("battery current");
  same(range_of(r, RangeOf::case_controller, r.spread->of_case).interval, controller.interval);
  same(range_of(r, RangeOf::case_battery, r.spread->of_case).interval, battery.interval);
  CHECK(range_of(r, RangeOf::case_controller, r.spread->of_case).drivers[0].tolerance ==
        controller.drivers[0].tolerance);
}

TEST_CASE("where a figure is infinite at one end of a tolerance, none of its range is nonsense") {
  robot::Robot robot = with({});
  robot.battery.state_of_charge = 0.06;  // it may be empty: then no number of batteries is enough
  robot.tolerances = {{.path = "battery.state_of_charge", .half_width = 0.06, .place = {}, .file = {}}};
  const DeskReport r = desk_check(robot);
  const FigureRange& batteries = range_of(r, RangeOf::batteries_per_day);
  CHECK(batteries.interval.low > 0.0);
  CHECK(std::isfinite(batteries.interval.low));
  CHECK(batteries.interval.high > 5.0 * batteries.interval.low);
  CHECK(batteries.drivers[0].correlation < 0.0);  // the fuller, the fewer
  for (const FigureRange& range : r.ranges) {
    CAPTURE(name_of(range.what));
    CHECK_FALSE(std::isnan(range.interval.low + range.interval.least));
    CHECK_FALSE(std::isnan(range.interval.high + range.interval.most));
    for (const Driver& d : range.drivers) CHECK_FALSE(std::isnan(d.share));
  }
}

TEST_CASE("a protection that may open at once has no range of when") {
  robot::Robot robot = with({{.path = "battery.state_of_charge", .half_width = 0.05, .place = {}, .file = {}}});
  for (robot::Device& d : robot.catalogue.devices) {
    auto* fuse = std::get_if<robot::ProtectionDevice>(&d.spec);
    if (fuse == nullptr || fuse->kind != robot::ProtectionKind::fuse) continue;
    fuse->rating = amperes(0.5);
    fuse->limits = {{.multiple = 1.1, .earliest = {}, .latest = std::nullopt}};
  }
  const DeskReport r = desk_check(robot);
  bool at_once = false;
  for (const DutyFigures& d : r.duties) {
    for (const ProfileFigures& p : d.protections) {
      if (p.opens.earliest.si > 0.0) continue;
      at_once = true;
      CHECK(r.range(RangeOf::profile_earliest, d.cycle, p.protection) == nullptr);
    }
  }
  CHECK(at_once);
}

TEST_CASE("a solution found from a nearby one is the one found from above") {
  MovedRobot moved(demonstration());
  CaseSolver solver(moved.robot());
  for (PlannedCase planned : load_cases(moved.robot(), solver.layout())) {
    CAPTURE(planned.name);
    CaseReport near = solver.report(planned);
    const std::vector<Voltage> nominal = near.nodes;
    moved.move(std::vector<double>(moved.tolerances(), 1.0));
    refresh(moved.robot(), planned);
    solver.shares(planned, nominal, near);
    const CaseReport cold = solver.report(planned);
    moved.move(std::vector<double>(moved.tolerances(), 0.0));
    REQUIRE_FALSE(cold.unsolved);
    CHECK(std::abs((nominal.back() - cold.nodes.back()).si) > 1e-6);  // it has moved
    for (std::size_t n = 0; n < cold.nodes.size(); ++n) {
      CHECK(near.nodes[n].si == doctest::Approx(cold.nodes[n].si).epsilon(1e-9));
    }
    for (std::size_t p = 0; p < cold.protections.size(); ++p) {
      CHECK(near.protections[p].multiple == doctest::Approx(cold.protections[p].multiple).epsilon(1e-7));
    }
    for (std::size_t w = 0; w < cold.wires.size(); ++w) {
      CHECK(near.wires[w].current.si == doctest::Approx(cold.wires[w].current.si).epsilon(1e-7));
    }
  }
}

TEST_CASE("run time follows capacity in proportion, and the day's batteries against it") {
  const DeskReport r = desk_check(
      with({{.path = "device.agm_12v_7ah.capacity", .half_width = 0.05 * 7 * 3600, .place = {}, .file = {}}}));
  const Interval run = range_of(r, RangeOf::run_time).interval;
  const Interval batteries = range_of(r, RangeOf::batteries_per_day).interval;
  // 95 % of an even tolerance of 5 % is 4.75 %; Peukert's exponent n makes a share x of capacity x·n of run time.
  const double n = 1.13;
  CHECK(run.high / run.nominal - 1.0 == doctest::Approx(0.0475 * n).epsilon(0.1));
  CHECK(1.0 - run.low / run.nominal == doctest::Approx(0.0475 * n).epsilon(0.1));
  CHECK(batteries.low < batteries.nominal);
  CHECK(batteries.high > batteries.nominal);
  CHECK(r.range(RangeOf::heat_settled, 0, 0) == nullptr);
  CHECK(r.idle_tolerances.empty());
}

TEST_CASE("every kind of figure moves with what it depends on") {
  struct Row {
    const char* path;
    double half_width;
    RangeOf what;
    std::size_t part;
  };
  const Row rows[] = {{"device.agm_12v_7ah.peukert_exponent", 0.03, RangeOf::run_time, 0},
                      {"duty_cycle.one_tray_out_and_back.step.0.duration", 2.0, RangeOf::cycle_energy, 0},
                      {"duty_cycle.one_tray_out_and_back.repeats_per_day", 20.0, RangeOf::day_charge, 0},
                      {"device.lift_motor_12v.heat.winding_to_housing", 0.8, RangeOf::heat_after_cycles, 2},
                      {"device.lift_motor_12v.heat.housing_to_ambient", 1.8, RangeOf::heat_settled, 2},
                      {"device.agm_12v_7ah.internal", 0.005, RangeOf::end_voltage, 0},
                      {"battery.state_of_charge", 0.05, RangeOf::cycles, 0}};
  for (const Row& row : rows) {
    CAPTURE(row.path);
    robot::Robot robot = with({{.path = row.path, .half_width = row.half_width, .place = {}, .file = {}}});
    const DeskReport r = desk_check(robot, {.draws = 200});
    const FigureRange& range = range_of(r, row.what, 0, row.part);
    CHECK(range.interval.low < range.interval.nominal);
    CHECK(range.interval.high > range.interval.nominal);
    REQUIRE(range.drivers.size() == 1);
    CHECK(range.drivers[0].share == doctest::Approx(1.0));
  }
}

TEST_CASE("the time to a winding's limit, held still, is that of its figures at both ends") {
  const char* path = "device.lift_motor_12v.heat.winding_capacity";
  robot::Robot robot = with({});
  double* capacity = robot::quantity_at(robot, path);
  REQUIRE(capacity != nullptr);
  const double half = 0.2 * *capacity, nominal = *capacity;
  robot.tolerances = {{.path = path, .half_width = half, .place = {}, .file = {}}};
  const DeskReport r = desk_check(robot, {.draws = 2000});
  const Interval i = range_of(r, RangeOf::stall_limit_after, 2).interval;
  const auto after = [&](double c) {
    *capacity = c;
    const DeskReport moved = desk_check(robot, {.draws = 0});
    return moved.branch_stalls[2].winding_limit_after->si;
  };
  CHECK(i.low == doctest::Approx(after(nominal - 0.95 * half)).epsilon(0.01));
  CHECK(i.high == doctest::Approx(after(nominal + 0.95 * half)).epsilon(0.01));
}

// What the path says that a tolerance cannot reach is left alone: so nothing beyond it may follow it.
TEST_CASE("what a tolerance reaches is all that it moves") {
  robot::Robot robot = demonstration();
  for (const char* path : {"device.agm_12v_7ah.peukert_exponent", "device.drive_motor_12v.rotor_inertia",
                           "device.lift_motor_12v.heat.winding_capacity", "output.lift.mechanism.inertia"}) {
    const double* at = robot::quantity_at(robot, path);
    REQUIRE(at != nullptr);
    robot.tolerances.push_back({.path = path, .half_width = 0.1 * *at, .place = {}, .file = {}});
  }
  const DeskReport r = desk_check(robot, {.draws = 0});
  const std::vector<PlannedCase> planned = load_cases(robot, CaseSolver(robot).layout());
  MovedRobot moved(robot);
  for (std::size_t t = 0; t < robot.tolerances.size(); ++t) {
    CAPTURE(robot.tolerances[t].path);
    const Touched touched = reach_of(robot, planned, robot.tolerances[t].path);
    const auto reached = [](const std::vector<std::size_t>& all, std::size_t one) {
      return std::find(all.begin(), all.end(), one) != all.end();
    };
    moved.move_one(t, 1.0);
    const DeskReport there = desk_check(moved.robot(), {.draws = 0});
    moved.move_one(t, 0.0);
    for (const ReportFigure& f : report_figures(r)) {
      const auto& all = f.where == PartOf::load_case ? touched.cases
                        : f.where == PartOf::motor   ? touched.outputs
                                                     : touched.duties;
      if (reached(all, f.of)) continue;
      CAPTURE(name_of(f.what));
      CHECK(value_of(there, f) == doctest::Approx(value_of(r, f)).epsilon(1e-9));
    }
  }
}

TEST_CASE("tolerances that move nothing are told in one note") {
  robot::Robot robot = with({{.path = "board.port.OUT8.on_resistance", .half_width = 0.01, .place = {}, .file = {}},
                             {.path = "robot.ambient", .half_width = 5.0, .place = {}, .file = {}}});
  const DeskReport r = desk_check(robot, {.draws = 50});
  REQUIRE(r.idle_tolerances == std::vector<std::size_t>{0});
  const auto note = std::find_if(r.findings.begin(), r.findings.end(),
                                 [](const RuleFinding& f) { return f.rule == "tolerance.moves-nothing"; });
  REQUIRE(note != r.findings.end());
  CHECK(note->severity == Severity::note);
  CHECK(note->text.find("board.port.OUT8.on_resistance") != std::string::npos);
}

TEST_CASE("an ambient beyond a protection's table of derating is told") {
  robot::Robot robot = with({});
  const auto told = [&] {
    const DeskReport r = desk_check(robot, {.draws = 0});
    return std::count_if(r.findings.begin(), r.findings.end(),
                         [](const RuleFinding& f) { return f.rule == "protection.beyond-derating"; });
  };
  CHECK(told() == 0);
  robot.ambient = celsius(62);
  CHECK(told() > 0);
}

TEST_CASE("a battery's resistance moves the rows of its table that have no tolerance of their own") {
  robot::Robot robot =
      with({{.path = "device.agm_12v_7ah.internal", .half_width = 0.005, .place = {}, .file = {}},
            {.path = "device.agm_12v_7ah.internal_at.1.internal", .half_width = 0.001, .place = {}, .file = {}}});
  MovedRobot moved(robot);
  const auto rows = [&] {
    return moved.robot().catalogue.device("agm_12v_7ah")->as<robot::BatteryDevice>()->internal_at;
  };
  const auto nominal = rows();
  moved.move_one(0, 1.0);  // 25 to 30 mΩ
  CHECK(rows()[0].internal.si == doctest::Approx(1.2 * nominal[0].internal.si));
  CHECK(rows()[1].internal.si == nominal[1].internal.si);
  CHECK(rows()[2].internal.si == doctest::Approx(1.2 * nominal[2].internal.si));
  moved.move_one(0, 0.0);
  CHECK(rows()[0].internal.si == nominal[0].internal.si);
}

TEST_CASE("heat of a duty cycle: weaker magnets take more current for the same torque, and say so") {
  robot::Robot cold = with({}), warm = with({});
  for (robot::Device& d : cold.catalogue.devices) {
    if (auto* m = std::get_if<robot::MotorDevice>(&d.spec)) m->magnet_coefficient.si = 0.0;
  }
  for (robot::Device& d : warm.catalogue.devices) {
    if (auto* m = std::get_if<robot::MotorDevice>(&d.spec)) m->magnet_coefficient.si = -0.005;
  }
  const DeskReport a = desk_check(cold, {.draws = 0}), b = desk_check(warm, {.draws = 0});
  for (std::size_t m = 0; m < a.duties[0].motors.size(); ++m) {
    CHECK(b.duties[0].motors[m].settled > a.duties[0].motors[m].settled);
  }
  for (std::size_t m = 0; m < a.motors.size(); ++m) {
    CHECK(*b.motors[m].stall_torque_hot < *a.motors[m].stall_torque_hot);
    const bool limited = a.motors[m].stall_current < a.motors[m].line_stall;  // then copper alone costs nothing
    if (!limited) CHECK(*a.motors[m].stall_torque_hot < a.motors[m].stall_torque);
    if (limited) CHECK(a.motors[m].stall_torque_hot->si == doctest::Approx(a.motors[m].stall_torque.si));
  }
}

}  // namespace ringout::desk
