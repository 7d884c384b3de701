// The demonstration's story, what a point that works says about the parts that it shares, and what a check that the
// program drives says about the program.
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

const FaultRows& rows() {
  static const FaultRows shipped = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  return shipped;
}

RobotModel model_of(const std::vector<Trouble>& troubles, Controller controller = Controller::answers) {
  return robot_model(demonstration(), rows(), {troubles}, controller);
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

// The demonstration with a servo, which no bump of the bench can work.
RobotModel model_of_flap() {
  robot::Robot robot = demonstration();
  robot::Output flap = *robot.output("mist_pump");
  flap.name = "flap";
  flap.kind = robot::PointKind::servo;
  flap.device = "small_servo_5v";
  flap.port = "SERVO1";
  robot.outputs.push_back(flap);
  return robot_model(robot, rows(), {{{"flap", Symptom::nothing}}});
}

// The program drives what has no link, and what the bench cannot drive over one.
TEST_CASE("what the program drives is spoken for or against by each meter at it, and by each part changed behind it") {
  const RobotModel clamp = model_of({{"clamp", Symptom::nothing}}, Controller::none);
  const RobotModel pump = model_of({{"mist_pump", Symptom::nothing}}, Controller::none);
  const RobotModel flap = model_of_flap();
  struct Case {
    const RobotModel* m;
    std::string point;
    std::string port;
  };
  for (const Case& c :
       {Case{&clamp, "clamp", "OUT4"}, Case{&pump, "mist_pump", "OUT6"}, Case{&flap, "flap", "SERVO1"}}) {
    const RobotModel* m = c.m;
    const std::string& point = c.point;
    const std::string& port = c.port;
    const std::string command = fmt::format("{} in the program.sends nothing", point);
    const std::string at_port = fmt::format("meter at {} under command", port);
    const std::string at_device = fmt::format("meter at the device's end of {}'s lead", point);
    const std::string device = fmt::format("a known-good device on the lead of {}", point);
    CAPTURE(point);
    for (const std::string& check : {at_port, at_device, device}) {
      CAPTURE(check);
      const Shown bad = check == device ? Shown::still_wrong : Shown::nothing;
      CHECK(change_of(*m, check, bad, command) > 1.0);
      CHECK(change_of(*m, check, Shown::as_should, command) < 0.4);
      // By their rows these let one command in ten through, so that a good reading does not rule them out.
      CHECK(change_of(*m, check, bad, "program.other names") > 0.9);
      CHECK(change_of(*m, check, Shown::as_should, "program.other names") < 1.7);
      CHECK(change_of(*m, check, bad, "point table.stale") > 0.6);
    }
  }
  const std::string unhook = "unhook the mechanism of clamp";
  CHECK(change_of(clamp, unhook, Shown::still_wrong, "clamp in the program.sends nothing") > 1.0);
  CHECK(change_of(clamp, unhook, Shown::as_should, "clamp in the program.sends nothing") < 0.4);
}

TEST_CASE("an end switch that holds an output leaves its port without volts") {
  const RobotModel lift = model_of({{"lift", Symptom::nothing}}, Controller::none);
  CHECK(change_of(lift, "meter at OUT3 under command", Shown::nothing, "lift_top sensor.stuck closed") > 0.3);
}

TEST_CASE("a sign or a level that the program gets wrong shows at the device's end of the lead") {
  const std::string meter = "meter at the device's end of clamp's lead";
  const RobotModel turned = model_of({{"clamp", Symptom::wrong_way}}, Controller::none);
  CHECK(change_of(turned, meter, Shown::wrong_way, "clamp in the program.sends wrong sign") > 1.0);
  CHECK(change_of(turned, meter, Shown::as_should, "clamp in the program.sends wrong sign") < 0.6);
  const RobotModel weak = model_of({{"clamp", Symptom::weak}}, Controller::none);
  CHECK(change_of(weak, meter, Shown::weak, "clamp in the program.sends little") > 1.0);
  CHECK(change_of(weak, meter, Shown::as_should, "clamp in the program.sends little") < 0.5);
}

TEST_CASE("on a port that works the program works another point: its own command is left behind with the port") {
  const RobotModel m = model_of({{"mist_pump", Symptom::nothing}}, Controller::none);
  const std::string check = "mist_pump on a port that works";
  for (const char* left : {"mist_pump in the program.sends nothing", "port OUT6.dead"}) {
    CHECK(change_of(m, check, Shown::as_should, left) > 1.0);
    CHECK(change_of(m, check, Shown::still_wrong, left) < 0.3);
  }
  CHECK(change_of(m, check, Shown::as_should, "program.other names") < 0.9);
  CHECK(change_of(m, check, Shown::still_wrong, "program.other names") > 1.0);
  const std::string& told = m.model.observations[check_named(m, check)].instructions;
  CHECK(told.find("have the program work what is drawn on that port") != std::string::npos);
}

TEST_CASE("what ends at its travel is not worked on another port, where neither its switches nor its limits hold it") {
  for (const Controller controller : {Controller::answers, Controller::none}) {
    const RobotModel m = model_of({{"lift", Symptom::nothing}, {"belt", Symptom::nothing}}, controller);
    REQUIRE(demonstration().output("lift")->mechanism->travel);
    REQUIRE_FALSE(demonstration().output("belt")->mechanism->travel);
    for (find::Index o = 0; o < m.checks.size(); ++o) {
      if (m.checks[o].kind == CheckKind::swap_port) CHECK(m.checks[o].point == "belt");
    }
    CHECK_NOTHROW(check_named(m, "belt on a port that works"));
  }
}

TEST_CASE("who is named says which leads are exchanged; a table of another wiring may make anything act") {
  const std::string pump = "clamp and mist_pump.exchanged", belt = "belt and clamp.exchanged";
  const auto share = [](const RobotModel& m, const std::string& mode) {
    const find::Likelihood likelihood(m.model);
    return find::Posterior(likelihood).marginals()[mode_named(m, mode)];
  };
  const RobotModel unnamed = model_of({{"clamp", Symptom::another_acts}});
  const RobotModel named = model_of({{"clamp", Symptom::another_acts, "mist_pump"}});
  CHECK(share(named, pump) > 1.5 * share(unnamed, pump));
  CHECK(share(named, belt) < 0.1 * share(unnamed, belt));
  CHECK(share(named, "point table.stale") > 0.02);
  const find::Index watched = check_named(unnamed, "watch a bump of OUT4");
  CHECK(unnamed.outcome_of(watched, Shown::elsewhere, "mist_pump") !=
        unnamed.outcome_of(watched, Shown::elsewhere, "belt"));
  CHECK(unnamed.outcome_of(watched, Shown::elsewhere, "nobody") == unnamed.outcome_of(watched, Shown::elsewhere));
  CHECK(complaint_problems(demonstration(), {{{"clamp", Symptom::another_acts, "clamp"}}}).size() == 1);
  CHECK(complaint_problems(demonstration(), {{{"clamp", Symptom::nothing, "belt"}}}).size() == 1);
}

TEST_CASE("end switches of an output on each other's ports are told by the two hands, and are the likeliest then") {
  const RobotModel m = model_of({{"lift", Symptom::nothing}});
  const find::Likelihood likelihood(m.model);
  find::Posterior posterior(likelihood);
  const auto followed = [&](const std::string& input, const std::string& other) {
    const find::Index check = check_named(m, "work " + input + " by hand");
    REQUIRE(posterior.take(find::Answer{check, *m.outcome_of(check, Shown::elsewhere, other)}) == find::Taken::yes);
  };
  followed("lift_bottom", "lift_top");
  followed("lift_top", "lift_bottom");
  CHECK(posterior.marginals()[mode_named(m, "lift_bottom and lift_top.exchanged")] > 0.9);
}

TEST_CASE(
    "without a link neither the cable nor the firmware's age explains a point, and other points are worked instead") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}}, Controller::none);
  for (const FaultOrigin& f : m.faults) CHECK((f.kind != PartKind::link && f.kind != PartKind::firmware));
  CHECK(change_of(m, "have the program work belt", Shown::as_should, "fuse_deck.blown") < 0.05);
  CHECK(change_of(m, "have the program work drive_left", Shown::as_should, "main_breaker.tripped") < 0.05);
  const RobotModel silent = model_of({{"", Symptom::nothing_answers}}, Controller::none);
  CHECK_NOTHROW(mode_named(silent, "link.dead"));
}

TEST_CASE("a program of other names explains its table, and its own repair comes with one") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}});
  const find::Likelihood likelihood(m.model);
  find::Posterior posterior(likelihood);
  for (const char* check : {"program's names and kinds", "point table"}) {
    const find::Index o = check_named(m, check);
    REQUIRE(posterior.take(find::Answer{o, *m.outcome_of(o, Shown::differs)}) == find::Taken::yes);
  }
  CHECK(posterior.marginals()[mode_named(m, "program.other names")] > 0.9);
  CHECK(posterior.marginals()[mode_named(m, "point table.stale")] < 0.2);
  const find::Index stale = mode_named(m, "point table.stale");
  for (find::Index r = 0; r < m.repairs.size(); ++r) {
    const std::vector<find::Mend>& mends = m.model.repairs[r].mends;
    const bool mends_it = std::any_of(mends.begin(), mends.end(), [&](const find::Mend& x) { return x.mode == stale; });
    const RepairKind kind = m.repairs[r].kind;
    CHECK(mends_it ==
          (kind == RepairKind::load_table || kind == RepairKind::rebuild || kind == RepairKind::load_firmware));
  }
}

TEST_CASE("where hands go to a motor that may have stalled it is said to be hot") {
  const RobotModel m = model_of({{"clamp", Symptom::nothing}, {"mist_pump", Symptom::nothing}});
  for (find::Index o = 0; o < m.checks.size(); ++o) {
    const CheckKind kind = m.checks[o].kind;
    const bool hands = kind == CheckKind::turn_by_hand || kind == CheckKind::unhook ||
                       kind == CheckKind::meter_device || kind == CheckKind::swap_device ||
                       kind == CheckKind::look_wiring;
    CAPTURE(m.model.observations[o].name);
    CHECK((m.model.observations[o].caution.find("is hot") != std::string::npos) ==
          (hands && m.checks[o].point == "clamp"));
  }
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
