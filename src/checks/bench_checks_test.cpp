#include "checks/bench_checks.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "bind/point_table.h"
#include "find/robot/testing.h"
#include "prove/bump_plan.h"
#include "reach/twin_stream.h"
#include "robot/testing.h"
#include "session/simulated_person.h"

namespace {

using namespace ringout;
using faults::CheckKind;
using How = find::Observed::How;

std::unique_ptr<twin::Twin> twin_of(const robot::Robot& robot, const plant::Deviations& deviations) {
  const prove::UnprovedBounds bounds = prove::plan_bumps(robot).bounds();
  const auto table = bind::point_table(robot, {.max_level_permille = bounds.max_level_permille,
                                               .max_duration_ms = bounds.max_duration_ms,
                                               .max_slope_permille_per_ms = bounds.max_slope_permille_per_ms});
  REQUIRE(table);
  twin::TwinOptions options;
  options.firmware = twin::firmware_for(robot, bind::board_fingerprint(robot.board));
  options.eeprom = twin::eeprom_with_table(bind::encode(*table));
  return std::make_unique<twin::Twin>(robot, deviations, std::move(options));
}

// On the twin, by default a sound robot of which "the lift does nothing, its encoder does not change" is said.
struct Table {
  plant::Deviations deviations = {};
  faults::Complaint complaint{{{"lift", faults::Symptom::nothing}, {"lift_encoder", faults::Symptom::unchanging}}};
  robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  faults::RobotModel model = faults::robot_model(robot, faults::testing::shipped_rows(RINGOUT_SOURCE_DIR), complaint);
  reach::TwinStream stream{twin_of(robot, deviations), "twin", {}};
  session::SimulatedPerson person{stream.twin().bystander()};
  session::Session session{{.robot = robot, .stream = stream, .person = person}};
  checks::BenchChecks bench{{.session = session, .robot = robot, .model = model, .complaint = complaint}};

  Table() { REQUIRE(session.open()); }
  Table(plant::Deviations of, faults::Complaint said) : deviations(std::move(of)), complaint(std::move(said)) {
    REQUIRE(session.open());
  }

  find::Index check(CheckKind kind, const std::string& point) const {
    for (find::Index o = 0; o < model.checks.size(); ++o) {
      if (model.checks[o].kind == kind && model.checks[o].point == point) return o;
    }
    FAIL("no such check");
    return 0;
  }
  find::Observed observe(CheckKind kind, const std::string& point) {
    const auto made = bench.observe(check(kind, point));
    REQUIRE(made);
    return *made;
  }
  // Until only `left` are allowed in this session.
  void use_up(int left) {
    while (session.bumps_left("lift") > left) CHECK(observe(CheckKind::bump, "lift").how == How::seen);
  }
};

TEST_CASE("with the bumps used up the last ones are read by each check once, and by none after a repair") {
  Table t;
  t.use_up(0);
  CHECK(t.observe(CheckKind::bump, "lift").how == How::not_made);  // it has read them
  CHECK(t.observe(CheckKind::sensor_response, "lift_encoder").how == How::seen);
  CHECK(t.observe(CheckKind::sensor_response, "lift_encoder").how == How::not_made);
  Table repaired;
  repaired.use_up(0);
  repaired.bench.forget();
  CHECK(repaired.observe(CheckKind::sensor_response, "lift_encoder").how == How::not_made);
}

TEST_CASE("a person is asked what her meter says only where the bench has moved something for it") {
  Table t;
  REQUIRE(t.bench.together(t.check(CheckKind::meter_port, "lift")));
  t.use_up(1);
  CHECK(t.observe(CheckKind::meter_port, "lift").how == How::ask_the_person);
  CHECK(t.session.bumps_left("lift") == 0);
  const find::Observed without = t.observe(CheckKind::meter_port, "lift");
  CHECK(without.how == How::not_made);
  CHECK(without.words == "OUT3 has had all the bumps that its room allows in this session");
}

TEST_CASE("what needs one more bump than is allowed is out of reach, what the last bump tells is not") {
  Table t;
  const auto out_of_reach = [&](CheckKind kind, const std::string& point) {
    const std::vector<find::Index> out = t.bench.out_of_reach();
    return std::find(out.begin(), out.end(), t.check(kind, point)) != out.end();
  };
  CHECK(t.bench.out_of_reach().empty());
  t.use_up(0);
  for (const CheckKind kind : {CheckKind::meter_port, CheckKind::meter_connector, CheckKind::watch_bump,
                               CheckKind::swap_device, CheckKind::unhook, CheckKind::bump})
    CHECK_MESSAGE(out_of_reach(kind, "lift"), faults::name_of(kind));
  CHECK_FALSE(out_of_reach(CheckKind::sensor_response, "lift_encoder"));
  CHECK_FALSE(out_of_reach(CheckKind::meter_device, "lift"));
  CHECK_FALSE(out_of_reach(CheckKind::supply_under_load, ""));  // other outputs load it as well
  t.observe(CheckKind::sensor_response, "lift_encoder");
  CHECK(out_of_reach(CheckKind::sensor_response, "lift_encoder"));
}

// No sensor tells whether a lamp is lit: a short in its lead is far too much current, and nothing drives it again.
TEST_CASE("what draws far too much is a short where nothing turns, and is driven no more until something was mended") {
  plant::Deviations shorted;
  shorted.all.push_back({.kind = plant::DeviationKind::shorted_wire, .points = {"warning_lamp"}});
  Table t(shorted, {{{"warning_lamp", faults::Symptom::nothing}}});
  const find::Index bump = t.check(CheckKind::bump, "warning_lamp");
  const find::Observed seen = t.observe(CheckKind::bump, "warning_lamp");
  REQUIRE(seen.how == How::seen);
  CHECK(t.model.checks[bump].outcomes[seen.outcome] == faults::Shown::held);
  const auto out_of_reach = [&](CheckKind kind) {
    const std::vector<find::Index> out = t.bench.out_of_reach();
    return std::find(out.begin(), out.end(), t.check(kind, "warning_lamp")) != out.end();
  };
  const auto driving = {CheckKind::bump,       CheckKind::watch_bump,      CheckKind::meter_port,
                        CheckKind::operate,    CheckKind::meter_connector, CheckKind::swap_port,
                        CheckKind::swap_device};
  for (const CheckKind kind : driving) CHECK_MESSAGE(out_of_reach(kind), faults::name_of(kind));
  CHECK_FALSE(out_of_reach(CheckKind::meter_device));
  t.bench.forget();
  for (const CheckKind kind : driving) CHECK_MESSAGE(!out_of_reach(kind), faults::name_of(kind));
}

TEST_CASE("a sensor that stays where it is answers nowhere, whatever port could explain it") {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    CAPTURE(seed);
    plant::Deviations stuck;
    stuck.seed = seed;
    stuck.all.push_back({.kind = plant::DeviationKind::stuck, .points = {"clamp_position"}});
    Table t(stuck, {{{"clamp_position", faults::Symptom::unchanging}}});
    const find::Index response = t.check(CheckKind::sensor_response, "clamp_position");
    const find::Observed seen = t.observe(CheckKind::sensor_response, "clamp_position");
    REQUIRE(seen.how == How::seen);
    CHECK(t.model.checks[response].outcomes[seen.outcome] == faults::Shown::silent);
  }
}

}  // namespace
