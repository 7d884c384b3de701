// What bumps alone cannot tell becomes a question, and the answer settles it: the same recording, two answers, two
// findings.
#include <doctest/doctest.h>

#include <algorithm>

#include "bench.h"
#include "robot/testing.h"
#include "session/session.h"

using namespace ringout;

namespace {

const robot::Robot& drawn() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}

prove::Evidence bumped(plant::DeviationKind kind, std::vector<std::string> points) {
  plant::Deviations deviations;
  plant::Deviation d;
  d.kind = kind;
  d.points = std::move(points);
  deviations.all.push_back(d);
  scenarios::Bench bench(drawn(), deviations, 3);
  const prove::BumpPlan plan = prove::plan_bumps(drawn());
  prove::Evidence evidence;
  for (int pair = 0; pair < plan.pairs_planned; ++pair) {
    for (const std::uint8_t bridge : plan.bridges) bench.bump_pair(bridge, plan, evidence.bumps);
  }
  return evidence;
}

const prove::Question* question_on(const prove::Identification& id, const std::string& port) {
  for (const prove::Question& q : id.questions) {
    if (q.port == port) return &q;
  }
  return nullptr;
}

prove::Finding of(const prove::Identification& id, const std::string& point) {
  for (const prove::Finding& f : id.findings) {
    if (f.point == point) return f;
  }
  FAIL("no finding for " << point);
  return {};
}

prove::Identification answered(prove::Evidence evidence, const std::string& port, const std::string& point,
                               int direction) {
  evidence.looks.push_back(
      {.bridge = drawn().port_of(port).index, .saw = prove::Saw::device, .point = point, .direction = direction});
  return prove::identify(drawn(), evidence, {});
}

}  // namespace

TEST_CASE("motors exchanged or encoders exchanged: a look tells") {
  const prove::Evidence evidence = bumped(plant::DeviationKind::exchanged, {"drive_left", "drive_right"});
  const auto before = prove::identify(drawn(), evidence, {});
  const prove::Question* q = question_on(before, "OUT1");
  REQUIRE(q != nullptr);
  // Both explanations stand at the head of the choices.
  REQUIRE(q->choices.size() > 2);
  const std::vector<std::string> first = {q->choices[0].point, q->choices[1].point};
  CHECK(std::count(first.begin(), first.end(), "drive_left") == 1);
  CHECK(std::count(first.begin(), first.end(), "drive_right") == 1);
  CHECK(of(before, "drive_left").confidence < 0.95);

  // The right motor on the left's port is drawn mirrored: positive at the terminals turns it backwards.
  const auto motors = answered(evidence, "OUT1", "drive_right", -1);
  CHECK(of(motors, "drive_right").found_port == "OUT1");
  CHECK(of(motors, "drive_left").found_port == "OUT2");
  CHECK(of(motors, "left_encoder").found_port == "ENC1");
  CHECK(of(motors, "drive_left").confidence > 0.9);

  const auto encoders = answered(evidence, "OUT1", "drive_left", 1);
  CHECK(of(encoders, "drive_left").found_port == "OUT1");
  CHECK(of(encoders, "left_encoder").found_port == "ENC2");
  CHECK(of(encoders, "right_encoder").found_port == "ENC1");
  CHECK(of(encoders, "left_encoder").confidence > 0.9);
}

TEST_CASE("leads reversed or channels swapped: a look at the way it goes tells") {
  const prove::Evidence evidence = bumped(plant::DeviationKind::leads_reversed, {"belt"});
  const auto before = prove::identify(drawn(), evidence, {});
  REQUIRE(question_on(before, "OUT5") != nullptr);
  CHECK(of(before, "belt").sign == prove::Sign::unknown);

  const auto leads = answered(evidence, "OUT5", "belt", -1);
  CHECK(of(leads, "belt").sign == prove::Sign::reversed);
  CHECK(of(leads, "belt_encoder").sign == prove::Sign::as_drawn);

  const auto channels = answered(evidence, "OUT5", "belt", 1);
  CHECK(of(channels, "belt").sign == prove::Sign::as_drawn);
  CHECK(of(channels, "belt_encoder").sign == prove::Sign::reversed);
}

TEST_CASE(
    "what no sensor sees is always asked about; what the sensors settle is not, unless everything is to be seen") {
  const prove::Evidence evidence = bumped(plant::DeviationKind::weak_battery, {});
  const auto sparing = prove::identify(drawn(), evidence, {.settle_at = prove::IdentifyOptions::sparing});
  CHECK(question_on(sparing, "OUT6") != nullptr);
  CHECK(question_on(sparing, "OUT7") != nullptr);
  CHECK(question_on(sparing, "OUT3") == nullptr);
  CHECK(question_on(sparing, "OUT8") == nullptr);
  const auto all = prove::identify(drawn(), evidence, session::ProveOptions{}.identify);
  CHECK(question_on(all, "OUT3") != nullptr);
  CHECK(question_on(all, "OUT8") == nullptr);
}
