// A session with the real agent and the simulated person, with nothing wrong and with the demonstration's story.
#include <doctest/doctest.h>

#include <algorithm>

#include "session/session.h"
#include "session/simulated_person.h"
#include "twin_bench.h"

namespace ringout::device_tests {
namespace {

using session::ReadyDepth;
using session::Session;
using session::SimulatedPerson;

std::string listed(const session::Readiness& readiness) {
  std::string all;
  for (const session::ReadyStep& step : readiness.steps) {
    all += step.id + ": " + name_of(step.verdict) + " (" + step.reading + "; limit " + step.limit + ") " + step.remedy +
           "\n";
  }
  if (readiness.ended_early) all += readiness.ended_early->id + ": " + readiness.ended_early->message + "\n";
  return all;
}

std::string listed(const prove::Agreement& agreement) {
  std::string all;
  for (const prove::AgreementRow& row : agreement.rows) {
    all += row.point + ": " + row.drawn + " | " + row.coded + " | " + row.found + " -> " + name_of(row.verdict) + "  " +
           row.evidence + "\n";
  }
  return all;
}

plant::Deviation deviation(plant::DeviationKind kind, std::vector<std::string> points) {
  plant::Deviation d;
  d.kind = kind;
  d.points = std::move(points);
  if (kind == plant::DeviationKind::channel_dead) d.channel = "A";
  return d;
}

TEST_CASE("a new controller is not ready until the table is loaded, then it is") {
  Bench bench = make_bench("", Table::none);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  const auto before = session.ready(ReadyDepth::with_motion);
  INFO(listed(before));
  CHECK_FALSE(before.go());
  REQUIRE(before.steps.size() == 9);
  CHECK(before.steps[5].id == "table");
  CHECK(before.steps[5].verdict == session::StepVerdict::bad);
  CHECK(before.steps[8].verdict == session::StepVerdict::not_done);

  const auto loaded = session.load();
  REQUIRE_MESSAGE(loaded, (loaded ? "" : loaded.error().message));
  CHECK(loaded->took < Duration::milliseconds(10'000));

  const auto after = session.ready(ReadyDepth::with_motion);
  INFO(listed(after));
  CHECK(after.go());
  CHECK(bench.hard_stop_hits() == 0);
}

TEST_CASE("the disconnect is proved once in a session, by go/no-go or by the first motion") {
  class CountingPerson : public SimulatedPerson {
   public:
    using SimulatedPerson::SimulatedPerson;
    [[nodiscard]] Result<void> begin(const session::HandAction& action) override {
      opened += action.hand == session::Hand::open_disconnect ? 1 : 0;
      return SimulatedPerson::begin(action);
    }
    int opened = 0;
  };
  Bench bench = make_bench("", Table::loaded);
  CountingPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.ready(ReadyDepth::with_motion).go());
  CHECK(person.opened == 1);
  REQUIRE(session.jog({.output = "belt", .level = 0.1}));
  CHECK(person.opened == 1);
}

TEST_CASE("proving a robot that is as drawn proves every point") {
  Bench bench = make_bench("", Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto proving = session.prove({});
  INFO((proving.ended_early ? proving.ended_early->message : ""));
  INFO(listed(proving.agreement));
  CHECK_FALSE(proving.ended_early);
  CHECK(proving.agreement.ready());
  CHECK(bench.hard_stop_hits() == 0);

  // The table lacks the proofs: what differs is said, and nothing moves before it is loaded.
  Session next({.robot = bench.robot, .stream = *bench.line, .person = person, .known = proving.findings});
  REQUIRE(next.open());
  const auto refused = next.jog({.output = "belt", .level = 0.2});
  REQUIRE_FALSE(refused);
  CHECK(refused.error().id == "session.other-table");
  CHECK(refused.error().message.find("(proved since: drive_left, drive_right, lift, ") != std::string::npos);
  REQUIRE(next.load());
  const auto jogged = next.jog({.output = "belt", .level = 0.2, .at_most = Duration::milliseconds(500)});
  REQUIRE_MESSAGE(jogged, (jogged ? "" : jogged.error().message));
  CHECK(jogged->proved);
  CHECK(jogged->changed == std::vector<std::string>{"belt_encoder"});
}

TEST_CASE("only what is surely found as drawn, on this controller, is marked proved in the table") {
  Bench bench = make_bench("", Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  std::vector<prove::Finding> known;
  const auto as_drawn = [&known](const auto& point) {
    prove::Finding finding;
    finding.point = point.name;
    finding.drawn_port = point.port;
    finding.found_port = point.port;
    finding.sign = prove::Sign::as_drawn;
    finding.confidence = 0.95;
    finding.condition = prove::Condition::answers;
    known.push_back(finding);
  };
  for (const robot::Output& o : bench.robot.outputs) as_drawn(o);
  for (const robot::Input& i : bench.robot.inputs) as_drawn(i);
  const auto marked = [&](const std::vector<prove::Finding>& findings, std::optional<std::string> identity) {
    Session session({.robot = bench.robot,
                     .stream = *bench.line,
                     .person = person,
                     .known = findings,
                     .identity = std::move(identity)});
    REQUIRE(session.open());
    const auto table = session.wanted_table();
    REQUIRE(table);
    return std::count_if(table->entries.begin(), table->entries.end(),
                         [](const wire::TableEntry& entry) { return (entry.flags & wire::entry_proved) != 0; });
  };
  const auto all = marked(known, std::nullopt);
  CHECK(all > 0);
  CHECK(marked(known, "00112233AABBCCDD") == 0);
  std::vector<prove::Finding> unsure = known;
  for (prove::Finding& finding : unsure) finding.confidence = 0.6;
  CHECK(marked(unsure, std::nullopt) == 0);
  std::vector<prove::Finding> no_way = known;
  for (prove::Finding& finding : no_way) finding.sign = prove::Sign::unknown;
  CHECK(marked(no_way, std::nullopt) == 0);
}

TEST_CASE("without a supply the disconnect is not proved, and not blamed") {
  Bench bench = make_bench("", Table::loaded);
  REQUIRE(bench.twin->bystander().open_disconnect(true));
  static_cast<void>(bench.twin->run_until(bench.twin->now() + Duration::milliseconds(3000)));
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto jogged = session.jog({.output = "belt", .level = 0.1});
  REQUIRE_FALSE(jogged);
  CHECK(jogged.error().id == "session.disconnect-not-proved");
  CHECK(jogged.error().message.find("there is no supply to cut") != std::string::npos);
}

TEST_CASE("the connector repair is found: clamp and pump exchanged, end switches exchanged") {
  Bench bench = make_bench("connector_repair", Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto proving = session.prove({});
  INFO((proving.ended_early ? proving.ended_early->message : ""));
  INFO(listed(proving.agreement));
  CHECK_FALSE(proving.ended_early);
  for (const prove::AgreementRow& row : proving.agreement.rows) {
    CAPTURE(row.point);
    const bool exchanged =
        row.point == "clamp" || row.point == "mist_pump" || row.point == "lift_bottom" || row.point == "lift_top";
    CHECK((row.verdict == prove::Verdict::disagrees) == exchanged);
  }
  CHECK(bench.hard_stop_hits() == 0);
}

TEST_CASE("an output that is not proved is jogged within the unproved bounds only") {
  Bench bench = make_bench("", Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto too_much = session.jog({.output = "lift", .level = 0.9});
  REQUIRE_FALSE(too_much);
  CHECK(too_much.error().id == "session.level-above-bound");
  const auto backwards = session.jog({.output = "warning_lamp", .level = -0.1});
  REQUIRE_FALSE(backwards);
  CHECK(backwards.error().id == "session.no-such-way");
  const double bound = prove::plan_bumps(bench.robot).bounds().max_level_permille / 1000.0;
  const auto jogged = session.jog({.output = "lift", .level = bound, .at_most = Duration::milliseconds(5000)});
  REQUIRE_MESSAGE(jogged, (jogged ? "" : jogged.error().message));
  CHECK(jogged->driven <= Duration::milliseconds(prove::plan_bumps(bench.robot).bounds().max_duration_ms + 20));
  CHECK_FALSE(jogged->proved);
  CHECK(jogged->at_most < Duration::milliseconds(5000));
  CHECK(std::find(jogged->watched.begin(), jogged->watched.end(), "belt_encoder") != jogged->watched.end());
  CHECK(bench.hard_stop_hits() == 0);
}

TEST_CASE(
    "the lift's lead on every port, reversed, its switches exchanged, its encoder dead: no hard stop is reached") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  using plant::DeviationKind;
  for (const robot::Output& other : robot.outputs) {
    CAPTURE(other.name);
    plant::Deviations worst;
    worst.seed = 17;
    if (other.name != "lift") worst.all.push_back(deviation(DeviationKind::exchanged, {"lift", other.name}));
    worst.all.push_back(deviation(DeviationKind::leads_reversed, {"lift"}));
    worst.all.push_back(deviation(DeviationKind::end_switches_exchanged, {"lift"}));
    worst.all.push_back(deviation(DeviationKind::channel_dead, {"lift_encoder"}));
    Bench bench = make_bench(worst, Table::loaded);
    SimulatedPerson person(bench.twin->bystander());
    Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
    REQUIRE(session.ready(ReadyDepth::with_motion).steps.size() == 9);
    const auto proving = session.prove({});
    CHECK(proving.evidence.bumps.size() >= robot.outputs.size());
    // Jogging on and on, either way, is refused before the room is used up.
    const double bound = prove::plan_bumps(robot).bounds().max_level_permille / 1000.0;
    for (int i = 0; i < 20; ++i) {
      const auto jogged = session.jog({.output = other.name, .level = i % 2 == 0 ? bound : -bound});
      const bool has_no_way_back = other.kind == robot::PointKind::on_off && i % 2 != 0;
      if (!jogged) CHECK((jogged.error().kind == ErrorKind::refused || has_no_way_back));
    }
    CHECK(bench.hard_stop_hits() == 0);
  }
}

TEST_CASE("meters show every point and move nothing") {
  Bench bench = make_bench("", Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  int shown = 0;
  REQUIRE(session.meters(Duration::milliseconds(100), [&](const session::Meters& meters) {
    CHECK(meters.points.size() == bench.robot.outputs.size() + bench.robot.inputs.size());
    CHECK(meters.supply > volts(11));
    return ++shown < 3;
  }));
  CHECK(shown == 3);
  CHECK(bench.most_current() < 0.01);
}

}  // namespace
}  // namespace ringout::device_tests
