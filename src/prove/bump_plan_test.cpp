#include "prove/bump_plan.h"

#include <doctest/doctest.h>

#include <cmath>

#include "robot/testing.h"

using namespace ringout;
using namespace ringout::prove;

namespace {

robot::Robot demonstration() {
  return robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
}

robot::Output& output(robot::Robot& r, const std::string& name) {
  for (auto& o : r.outputs) {
    if (o.name == name) return o;
  }
  FAIL("no output " << name);
  return r.outputs[0];
}

}  // namespace

TEST_CASE("the demonstration's plan: every bridge, strong enough, within every clearance") {
  const robot::Robot r = demonstration();
  const BumpPlan plan = plan_bumps(r);
  CHECK(plan.conflicts.empty());
  CHECK(plan.bridges.size() == 8);
  CHECK(plan.pairs_allowed > plan.pairs_planned);
  for (const auto& o : r.outputs) {
    if (o.mechanism) CHECK(plan.level_permille / 1000.0 > motor_figures(r, o).breakaway_level);
    CHECK(plan.level_permille <= o.max_level * 1000.0);
  }
  REQUIRE(plan.reaches.size() == 2);
  for (const Reach& reach : plan.reaches) {
    CAPTURE(reach.output);
    CHECK(reach.worst > 0.0);
    CHECK(reach.worst <= reach.clearance);
  }
}

TEST_CASE("the worst reach, worked by hand for the clamp") {
  robot::Robot r = demonstration();
  const BumpPlan plan = plan_bumps(r);
  // Clamp motor: 12 V, 6000 rpm, 0.12 A, 2.4 A, 0.0435 N*m: R = 5 ohm, k = (12 - 0.6)/628.3 = 0.01814; gear 250.
  const double full = 12.9;  // replaced below by the battery's own figure
  const auto& battery = *r.device_of(r.battery.device).as<robot::BatteryDevice>();
  const double u = plan.level_permille / 1000.0 * std::max(battery.open_circuit_full.si, battery.nominal.si);
  CHECK(battery.open_circuit_full.si == doctest::Approx(full).epsilon(0.03));
  const double k = 0.018125;  // the smaller of 0.0435/2.4 and 11.4/628.3
  const double w = u / (k * 250.0);
  const double j = 250.0 * 250.0 * 1.1e-6 + 0.002;
  const double stops = 0.5 * (0.35 + 250.0 * k * 0.12);
  const double driven = plan.duration_ms / 1000.0 + plan.level_permille / 25.0 / 1000.0;
  const double worst = plan.pairs_allowed * (w * driven + j * w * w / (2.0 * stops));
  REQUIRE(plan.reaches.size() == 2);
  REQUIRE(plan.reaches[1].output == "clamp");
  CHECK(plan.reaches[1].worst == doctest::Approx(worst).epsilon(0.01));
}

TEST_CASE(
    "a motor of this robot in another's gear: covered where the clearance leaves room, and said where it does not") {
  const auto names = [](const std::vector<MotorReach>& all) {
    std::vector<std::string> out;
    for (const MotorReach& m : all) out.push_back(m.motor);
    return out;
  };
  const robot::Robot r = demonstration();
  const BumpPlan plan = plan_bumps(r);
  for (const Reach& reach : plan.reaches) {
    CAPTURE(reach.output);
    for (const MotorReach& m : reach.covered) CHECK(m.worst <= reach.clearance);
    for (const MotorReach& m : reach.not_covered) CHECK(m.worst > reach.clearance);
    CHECK(reach.covered.size() + reach.not_covered.size() == 4);
    if (reach.output == "lift") CHECK(reach.not_covered.empty());
    if (reach.output == "clamp") CHECK(names(reach.not_covered) == std::vector<std::string>{"drive_motor_12v"});
  }
  const auto words = coverage_of(r, plan);
  REQUIRE(words.size() == 2);
  CHECK(words[0].find("lift: goes ") == 0);
  CHECK(words[1].find("with drive_motor_12v in its gear it could go ") != std::string::npos);

  // With more room for the clamp, every motor of this robot is covered in every gear.
  robot::Robot roomy = demonstration();
  output(roomy, "clamp").mechanism->bump_clearance = 3.0;
  const BumpPlan wide = plan_bumps(roomy);
  CHECK(wide.conflicts.empty());
  for (const Reach& reach : wide.reaches) CHECK(reach.not_covered.empty());
}

TEST_CASE("what cannot be bumped safely is said in words") {
  SUBCASE("too little room") {
    robot::Robot r = demonstration();
    output(r, "clamp").mechanism->bump_clearance = 0.05;
    const BumpPlan plan = plan_bumps(r);
    REQUIRE(!plan.conflicts.empty());
    CHECK(plan.conflicts[0].find("clamp") != std::string::npos);
    CHECK(plan.conflicts[0].find("bump_clearance") != std::string::npos);
  }
  SUBCASE("no clearance stated") {
    robot::Robot r = demonstration();
    output(r, "lift").mechanism->bump_clearance = 0.0;
    CHECK(!plan_bumps(r).conflicts.empty());
  }
  SUBCASE("a load that falls") {
    robot::Robot r = demonstration();
    output(r, "lift").mechanism->self_locking = false;
    output(r, "lift").mechanism->lifted = kilograms(30);
    const BumpPlan plan = plan_bumps(r);
    REQUIRE(!plan.conflicts.empty());
    CHECK(plan.conflicts[0].find("lift is not sure to stop") != std::string::npos);
  }
  SUBCASE("an output that bears less than another needs") {
    robot::Robot r = demonstration();
    output(r, "mist_pump").max_level = 0.05;
    const BumpPlan plan = plan_bumps(r);
    REQUIRE(!plan.conflicts.empty());
    CHECK(plan.conflicts[0].find("mist_pump") != std::string::npos);
  }
  SUBCASE("a motor that needs more than there is, on outputs that allow all of it") {
    robot::Robot r = demonstration();
    for (auto& o : r.outputs) o.max_level = 1.0;
    output(r, "belt").mechanism->friction = newton_metres(100);
    const BumpPlan plan = plan_bumps(r);
    REQUIRE(!plan.conflicts.empty());
    CHECK(plan.conflicts[0].find("belt needs a level of ") == 0);
    CHECK(plan.conflicts[0].find("no output can have more than 100 %") != std::string::npos);
  }
  SUBCASE("an output that bears less than can be measured, beside motors that need next to nothing") {
    robot::Robot r = demonstration();
    for (auto& o : r.outputs) {
      if (!o.mechanism) continue;
      o.mechanism->friction = newton_metres(0);
      o.mechanism->lifted = kilograms(0);
      o.mechanism->gear_ratio = 200.0;
    }
    output(r, "warning_lamp").max_level = 0.05;
    for (const auto& o : r.outputs) {
      if (o.mechanism) REQUIRE(1.3 * motor_figures(r, o).breakaway_level < 0.15);
    }
    const BumpPlan plan = plan_bumps(r);
    REQUIRE(!plan.conflicts.empty());
    CHECK(plan.conflicts[0].find(
              "a bump needs a level of 15 % to be measured, and warning_lamp allows no more than 5 %") == 0);
  }
}

TEST_CASE("switches that chatter at rest are named") {
  std::vector<capture::Sample> quiet(4);
  quiet[2].switches = 0b100;
  CHECK(restless_switches(quiet) == 0b100);
  CHECK(restless_switches({}) == 0);
}
