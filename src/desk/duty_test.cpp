#include "desk/duty.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "robot/testing.h"

namespace ringout::desk {
namespace {

// A duty cycle with the network solved anew, twice in each step, until the charge is used up.
Time run_time_anew(const robot::Robot& robot, const robot::DutyCycle& cycle) {
  CaseSolver solver(robot);
  const BatteryModel battery = battery_model(*robot.catalogue.device(robot.battery.device)->as<robot::BatteryDevice>());
  double charge = robot.battery.state_of_charge.value_or(1.0);
  double run = 0.0;
  for (;;) {
    for (const robot::DutyStep& step : cycle.steps) {
      CaseSetting setting = setting_of(robot, solver.layout(), step.loads);
      const auto rate_at = [&](double state) {
        setting.state_of_charge = std::max(state, 0.0);
        const auto solved = solver.solve(setting);
        REQUIRE(solved);
        return (physics::counted_current(battery.rating, (*solved)->sources[0]) / battery.rating.capacity).si;
      };
      const double rate = rate_at(charge - 0.5 * rate_at(charge) * step.duration.si);
      if (charge <= rate * step.duration.si) return {run + charge / rate};
      charge -= rate * step.duration.si;
      run += step.duration.si;
    }
  }
}

}  // namespace

TEST_CASE("run time is that of the network solved anew in each step: currents that rise as the battery sags") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  CaseSolver solver(robot);
  const DutyFigures f = DutyChecker(robot, solver).figures(0, {});
  REQUIRE(f.end_reason == "charge used up");
  CHECK(f.run_time.si == doctest::Approx(run_time_anew(robot, robot.duty_cycles[0]).si).epsilon(0.002));
}

TEST_CASE("the ways of a cycle's steps are those of the speeds solved, in the unit of the travel") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  CaseSolver solver(robot);
  const DutyFigures f = DutyChecker(robot, solver).figures(0, {});
  REQUIRE(f.ways.size() == robot.duty_cycles[0].steps.size());
  const std::size_t lift = 2, clamp = 3, pump = 5;
  CHECK(f.ways[3][lift] == doctest::Approx(0.020 * 12));
  CHECK(f.ways[5][lift] == doctest::Approx(-0.020 * 12));
  CHECK(f.ways[2][clamp] > 0.0);
  CHECK(f.ways[6][clamp] == doctest::Approx(-f.ways[2][clamp]).epsilon(0.01));
  CHECK(f.ways[4][pump] == 0.0);
}

}  // namespace ringout::desk
