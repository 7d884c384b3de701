// Unproved bounds on the machine's truth: whatever sits on the wrong port, turns the wrong way or cannot be felt, no
// bounded mechanism reaches a hard stop in the whole proving.
#include <doctest/doctest.h>

#include "bench.h"
#include "prove/bump_plan.h"
#include "robot/testing.h"

using namespace ringout;

namespace {

plant::Deviation deviation(plant::DeviationKind kind, std::vector<std::string> points, std::string port = {}) {
  plant::Deviation d;
  d.kind = kind;
  d.points = std::move(points);
  d.port = std::move(port);
  return d;
}

int stop_hits(const scenarios::Bench& bench) {
  int hits = 0;
  for (const plant::MotorTruth& m : bench.truth().motors) hits += m.hard_stop_hits;
  return hits;
}

// The faults that could make a lift dangerous, all at once but for its place.
plant::Deviations blind_and_backwards(bool leads_reversed) {
  plant::Deviations all;
  all.all.push_back(deviation(plant::DeviationKind::end_switches_exchanged, {"lift"}));
  all.all.push_back(deviation(plant::DeviationKind::dead_device, {"lift_encoder"}));
  all.all.push_back(deviation(plant::DeviationKind::dead_device, {"clamp_position"}));
  if (leads_reversed) all.all.push_back(deviation(plant::DeviationKind::leads_reversed, {"lift"}));
  return all;
}

// Name of the output that is drawn on a port, if any.
std::string drawn_on(const robot::Robot& r, const std::string& port) {
  for (const auto& o : r.outputs) {
    if (o.port == port) return o.name;
  }
  return {};
}

enum class Bumps { out_and_back, one_way_out, one_way_back };

int hits_on_every_port(const std::string& moved, Bumps bumps, const prove::BumpPlan& plan, double at_clearance_of) {
  const robot::Robot drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  int hits = 0;
  for (const robot::BoardPort* port : drawn.board.of_kind(robot::PortKind::bridge)) {
    for (const bool reversed : {false, true}) {
      plant::Deviations deviations = blind_and_backwards(reversed);
      const std::string other = drawn_on(drawn, port->name);
      if (other.empty()) {
        deviations.all.push_back(deviation(plant::DeviationKind::on_port, {moved}, port->name));
      } else if (other != moved) {
        deviations.all.push_back(deviation(plant::DeviationKind::exchanged, {moved, other}));
      }
      for (const auto& o : drawn.outputs) {
        if (!o.mechanism || !o.mechanism->travel) continue;
        const auto& m = *o.mechanism;
        deviations.start[o.name] =
            at_clearance_of < 0.5 ? m.travel->low + m.bump_clearance : m.travel->high - m.bump_clearance;
      }
      scenarios::Bench bench(drawn, deviations, 7);
      for (int pair = 0; pair < plan.pairs_allowed; ++pair) {
        if (bumps != Bumps::one_way_back) (void)bench.bump(port->index, plan.level_permille, plan);
        if (bumps != Bumps::one_way_out) (void)bench.bump(port->index, -plan.level_permille, plan);
      }
      hits += stop_hits(bench);
    }
  }
  return hits;
}

}  // namespace

TEST_CASE("the lift and the clamp on every port, leads reversed, switches exchanged, sensors dead: no hard stop") {
  const robot::Robot drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const prove::BumpPlan plan = prove::plan_bumps(drawn);
  REQUIRE(plan.conflicts.empty());
  for (const char* moved : {"lift", "clamp"}) {
    for (const Bumps bumps : {Bumps::out_and_back, Bumps::one_way_out, Bumps::one_way_back}) {
      for (const double end : {0.0, 1.0}) {
        CAPTURE(moved);
        CHECK(hits_on_every_port(moved, bumps, plan, end) == 0);
      }
    }
  }
}

// The worst that a wrong motor of this robot can do: in the bounded gear, from the stated clearance, all one way.
TEST_CASE("another motor of this robot in the lift's or the clamp's gear: no hard stop, covered by the plan or not") {
  const robot::Robot drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const prove::BumpPlan plan = prove::plan_bumps(drawn);
  for (const prove::Reach& reach : plan.reaches) {
    std::vector<prove::MotorReach> motors = reach.covered;
    motors.insert(motors.end(), reach.not_covered.begin(), reach.not_covered.end());
    for (const prove::MotorReach& motor : motors) {
      for (const double sign : {1.0, -1.0}) {
        CAPTURE(reach.output);
        CAPTURE(motor.motor);
        plant::Deviation wrong = deviation(plant::DeviationKind::wrong_device, {reach.output});
        wrong.device = motor.motor;
        plant::Deviations deviations;
        deviations.all = {wrong, deviation(plant::DeviationKind::end_switches_exchanged, {"lift"})};
        const robot::Output& o = *drawn.output(reach.output);
        deviations.start[o.name] =
            sign > 0 ? o.mechanism->travel->high - reach.clearance : o.mechanism->travel->low + reach.clearance;
        scenarios::Bench bench(drawn, deviations, 11);
        const int level = (sign > 0) != o.reversed ? plan.level_permille : -plan.level_permille;
        for (int half = 0; half < plan.pairs_allowed; ++half) {
          (void)bench.bump(drawn.port_of(o.port).index, level, plan);
        }
        CHECK(stop_hits(bench) == 0);
      }
    }
  }
}

TEST_CASE("positive control: bumps ten times as long do reach a stop") {
  const robot::Robot drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  prove::BumpPlan plan = prove::plan_bumps(drawn);
  plan.duration_ms *= 10;
  plan.encoder_allowance = 60000;
  CHECK(hits_on_every_port("clamp", Bumps::one_way_out, plan, 1.0) > 0);
}
