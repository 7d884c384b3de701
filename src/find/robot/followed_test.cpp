// The demonstration's story, and what a point that works says about the parts that it shares.
#include "find/robot/followed.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>

#include "find/robot/testing.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::faults;
using ringout::faults::testing::follow;
using ringout::faults::testing::Followed;

namespace {

const robot::Robot& demonstration() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}

RobotModel model_of(const std::vector<Trouble>& troubles) {
  static const FaultRows rows = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  return robot_model(demonstration(), rows, {troubles});
}

find::Index mode_named(const RobotModel& m, const std::string& name) {
  for (find::Index i = 0; i < m.model.modes.size(); ++i) {
    if (find::full_name(m.model, i) == name) return i;
  }
  FAIL("no fault " << name);
  return 0;
}

find::Index check_named(const RobotModel& m, const std::string& name) {
  for (find::Index i = 0; i < m.model.observations.size(); ++i) {
    if (m.model.observations[i].name == name) return i;
  }
  FAIL("no check " << name);
  return 0;
}

// What is believed of a mode after one answer, over what was believed before it.
double change_of(const RobotModel& m, const std::string& check, Shown shown, const std::string& mode) {
  const find::Likelihood likelihood(m.model);
  find::Posterior posterior(likelihood);
  const find::Index its = mode_named(m, mode);
  const double before = posterior.marginals()[its];
  const find::Index observation = check_named(m, check);
  REQUIRE(posterior.take(find::Answer{observation, *m.outcome_of(observation, shown)}) == find::Taken::yes);
  return posterior.marginals()[its] / before;
}

}  // namespace

TEST_CASE("leads exchanged at a repair are found within a minute, nothing taken off, the program left alone") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}});
  const Followed f = follow(m, {mode_named(m, "clamp and mist_pump.exchanged")});
  REQUIRE(f.solved);
  CHECK(f.bench < 1.0);
  CHECK(f.bench + f.by_hand < 1.0);  // at most one look while it is bumped: a short draws too much as well
  REQUIRE(f.repairs.size() == 1);
  const RepairOrigin& repair = m.repairs[f.repairs.front()];
  CHECK(repair.kind == RepairKind::put_back);
  CHECK(repair.discipline == robot::Discipline::wiring);
  CHECK(repair.owner == "Wim");
}

TEST_CASE("the story's conclusion names part, discipline, change and proof") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}});
  const FaultOrigin& origin = m.faults[mode_named(m, "clamp and mist_pump.exchanged")];
  CHECK(origin.text == "the leads of clamp and mist_pump sit on each other's ports");
  CHECK(origin.change ==
        "Put the leads of clamp and mist_pump back on the ports that the robot file draws, or write the ports in the "
        "robot file as they are and load the table.");
  CHECK(origin.proof == "ringout prove ROBOT --on LINK");
  CHECK(origin.injection.kind == "exchanged");
  CHECK(origin.injection.points == std::vector<std::string>{"clamp", "mist_pump"});
  CHECK(demonstration().text->line(origin.at.line).find("port = \"OUT4\"") == 0);
}

TEST_CASE("a point that works clears what it shares and nothing else") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}});
  // The belt hangs on the clamp's fuse, the left drive on another one.
  CHECK(change_of(m, "bump of belt on OUT5", Shown::as_should, "fuse_deck.blown") < 0.05);
  CHECK(change_of(m, "bump of belt on OUT5", Shown::as_should, "main_breaker.tripped") < 0.05);
  CHECK(change_of(m, "bump of belt on OUT5", Shown::as_should, "clamp connector.open") > 1.0);
  CHECK(change_of(m, "bump of drive_left on OUT1", Shown::as_should, "fuse_deck.blown") > 1.0);
  CHECK(change_of(m, "bump of drive_left on OUT1", Shown::as_should, "main_breaker.tripped") < 0.05);
  // Bank A: OUT1 to OUT4.
  CHECK(change_of(m, "bump of belt on OUT5", Shown::as_should, "bank A.open") > 1.0);
  CHECK(change_of(m, "bump of drive_left on OUT1", Shown::as_should, "bank A.open") < 0.05);
}

TEST_CASE("two points dead on one fuse: the fuse before two faults of their own") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}, {"belt", Symptom::nothing}});
  const RobotModel alone = model_of({{"clamp", Symptom::nothing}});
  const find::Likelihood likelihood(m.model), of_one(alone.model);
  const double both = find::Posterior(likelihood).marginals()[mode_named(m, "fuse_deck.blown")];
  const double one = find::Posterior(of_one).marginals()[mode_named(alone, "fuse_deck.blown")];
  CHECK(both > 1.5 * one);
  CHECK(both > 5 * find::Posterior(likelihood).marginals()[mode_named(m, "clamp connector.open")]);
}

TEST_CASE("every complaint of a real fault ends with it mended") {
  const RobotModel m = model_of({{"tray_present", Symptom::unchanging}});
  const find::Likelihood likelihood(m.model);
  const find::Symptom& symptom = m.model.symptoms.front();
  for (find::Index mode = 0; mode < m.model.modes.size(); ++mode) {
    if (likelihood.of(symptom.observation, symptom.outcome, {mode}) < 0.5) continue;
    const Followed f = follow(m, {mode});
    CAPTURE(find::full_name(m.model, mode));
    CHECK(f.solved);
    CHECK(f.cost < 60);
  }
}
