// The exported netlists solved by ngspice, an independent program, and compared with our own answers.
#include "desk/netlist.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>

#include "physics/step_response.h"
#include "robot/testing.h"

namespace ringout::desk {
namespace {

constexpr double agreement = 0.005;

// What `ngspice -b` prints as "name = value".
std::map<std::string, double> ngspice(const std::string& name, const std::string& netlist) {
  const std::string file = std::string(RINGOUT_BINARY_DIR) + "/desk_" + name;
  std::ofstream(file + ".cir") << netlist;
  const int status = std::system(("ngspice -b '" + file + ".cir' > '" + file + ".out' 2>&1").c_str());
  std::ifstream out(file + ".out");
  std::stringstream all;
  all << out.rdbuf();
  INFO(all.str());
  REQUIRE(status == 0);
  std::map<std::string, double> values;
  for (std::string line; std::getline(all, line);) {
    std::istringstream words(line);
    std::string key, equals;
    double value = 0.0;
    if (words >> key >> equals >> value && equals == "=") values[key] = value;
  }
  REQUIRE_FALSE(values.empty());
  return values;
}

void compare(const char* what, const std::map<std::string, double>& theirs, const std::string& key, double ours) {
  CAPTURE(what);
  CAPTURE(key);
  REQUIRE(theirs.count(key) == 1);
  CHECK(std::abs(theirs.at(key) - ours) <= agreement * std::abs(ours) + 1e-6);
}

}  // namespace

TEST_CASE("ngspice agrees with every load case of the demonstration robot, a servo on a fuse besides") {
  robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  robot.outputs.push_back(robot::testing::servo_on(robot, "fuse_lift"));
  CaseSolver solver(robot);
  const Layout& layout = solver.layout();
  for (const PlannedCase& planned : load_cases(robot, layout)) {
    const auto netlist = case_netlist(robot, planned);
    REQUIRE(netlist);
    const auto theirs = ngspice(planned.name, *netlist);
    const auto ours = solver.solve(planned.setting);
    REQUIRE(ours);
    const Solution& s = **ours;
    const char* what = planned.name.c_str();
    compare(what, theirs, "i(vbattery)", -s.sources[0].si);
    for (NodeIndex n = 1; n < layout.nodes.size(); ++n) {
      compare(what, theirs, "v(" + netlist_name(layout.nodes[n].name) + ")", s.nodes[n].si);
    }
    for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
      const std::size_t load = layout.outputs[o].load;
      if (load == nowhere || s.chopped_loads[load].regime == Regime::off) continue;
      const std::string name = netlist_name(robot.outputs[o].name);
      compare(what, theirs, "i(vamps_" + name + ")", s.chopped_loads[load].current.si);
      compare(what, theirs, "v(u_" + name + ")", s.chopped_loads[load].motor.si);
    }
  }
}

TEST_CASE("ngspice agrees with the start of each motor of the demonstration robot") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const Layout layout = lay_out(robot);
  constexpr int points = 10;
  int compared = 0;
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const auto start = motor_start(robot, layout, o);
    if (!start) continue;
    ++compared;
    CAPTURE(robot.outputs[o].name);
    const Time duration = start_duration(*start);
    const auto ours = start_curve(*start, duration, points);
    const auto theirs = ngspice("start_" + robot.outputs[o].name, start_netlist("start", *start, duration, points));
    // Where a figure has all but died away, half a per cent of its greatest is meant.
    double most = 0.0, fastest = 0.0;
    for (const StartPoint& p : ours) {
      most = std::max(most, p.current.si);
      fastest = std::max(fastest, p.speed.si);
    }
    for (std::size_t n = 1; n <= points; ++n) {
      CAPTURE(n);
      const std::string at = std::to_string(n);
      REQUIRE(theirs.count("i_" + at) == 1);
      CHECK(std::abs(theirs.at("i_" + at) - ours[n].current.si) <= agreement * most);
      CHECK(std::abs(theirs.at("speed_" + at) - ours[n].speed.si) <= agreement * fastest);
    }
  }
  CHECK(compared == 5);  // all its motors
}

TEST_CASE("a start without a limit follows the closed form") {
  // Until the current carries the load the motor stands: t0 = −L/R·ln(1 − R·If/U). From there on, current less If and
  // voltage less R·If are those of a motor that starts from rest without load.
  const MotorStart m{.source = volts(12),
                     .before = ohms(0.1),
                     .level = 0.8,
                     .loop = ohms(1.2),
                     .inductance = henries(0.9e-3),
                     .k = volt_seconds_per_radian(0.03),
                     .inertia = kilogram_square_metres(2e-5),
                     .resisting = {.steady = amperes(1.1), .rising = {2e-4}},
                     .limit = amperes(100)};
  const Resistance r = m.loop + m.before * (m.level * m.level);
  const Voltage u = m.source * m.level;
  const double waits = -m.inductance.si / r.si * std::log(1.0 - r.si * m.resisting.steady.si / u.si);
  const physics::LinearMotor linear{.r = r, .l = m.inductance, .k = m.k, .j = m.inertia, .b = m.k * m.resisting.rising};
  const Time duration = start_duration(m);
  for (const StartPoint& p : start_curve(m, duration, 50)) {
    if (p.at.si <= waits) continue;
    const Time t = seconds(p.at.si - waits);
    const Voltage left = u - r * m.resisting.steady;
    // A step holds the moment at which it starts to move: a thousandth there, a millionth later.
    const double close = p.at.si < 3.0 * waits ? 2e-3 : 1e-5;
    CHECK(p.speed.si == doctest::Approx(physics::speed_after_step(linear, left, t).si).epsilon(close));
    const Current current = physics::current_after_step(linear, left, t) + m.resisting.steady;
    CHECK(p.current.si == doctest::Approx(current.si).epsilon(close));
  }
}

TEST_CASE("names for ngspice") {
  CHECK(netlist_name("after fuse_Lift 2") == "after_fuse_lift_2");
}

}  // namespace ringout::desk
