// Answers on a robot that only slips explain: no state is ever ruled out there, and yet they are named.
#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <set>

#include "find/interview.h"
#include "find/robot/robot_model.h"
#include "find/robot/testing.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::faults;

namespace {

const RobotModel& clamp_does_nothing() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  static const RobotModel model = robot_model(robot, faults::testing::shipped_rows(RINGOUT_SOURCE_DIR),
                                              {{{"clamp", Symptom::nothing}}}, Controller::none);
  return model;
}

find::Answer answer(const std::string& check, Shown shown) {
  const RobotModel& m = clamp_does_nothing();
  for (find::Index i = 0; i < m.model.observations.size(); ++i) {
    if (m.model.observations[i].name == check) return {i, *m.outcome_of(i, shown)};
  }
  FAIL("no check " << check);
  return {};
}

find::Conflict slips_of(const find::Likelihood& likelihood, const std::vector<find::Event>& events) {
  find::Posterior posterior(likelihood);
  for (const find::Event& e : events) REQUIRE(posterior.take(e) == find::Taken::yes);
  return find::find_slips(posterior, events);
}

}  // namespace

TEST_CASE("no voltage at the battery, and all behind it works: that answer is the one to doubt") {
  const find::Likelihood likelihood(clamp_does_nothing().model);
  std::vector<find::Event> events{answer("meter at the battery", Shown::none)};
  CHECK(slips_of(likelihood, events).events.empty());  // it may be dead
  events.emplace_back(answer("meter before main_breaker", Shown::as_should));
  events.emplace_back(answer("meter at the board's supply terminal", Shown::as_should));
  events.emplace_back(answer("meter at OUT4's supply terminal", Shown::as_should));
  events.emplace_back(answer("meter at OUT4 under command", Shown::as_should));
  events.emplace_back(answer("have the program work clamp", Shown::as_should));
  const find::Conflict named = slips_of(likelihood, events);
  REQUIRE(!named.doubts.empty());
  CHECK(named.doubts.front().event == 0);
  find::Interview interview(clamp_does_nothing().model);
  interview.add(find::CouldNotTell{0});  // entries are counted, not events
  for (const find::Event& e : events)
    interview.add(find::Saw{std::get<find::Answer>(e).observation, std::get<find::Answer>(e).outcome});
  const find::View view = interview.view();
  CHECK(view.status == find::Status::open);  // named, and the case goes on
  CHECK(view.next);
  REQUIRE(!view.conflict.doubts.empty());
  CHECK(view.conflict.doubts.front().event == 1);
  events.erase(events.begin());
  CHECK(slips_of(likelihood, events).events.empty());
}

TEST_CASE("what a repair may have changed is no slip") {
  const find::Likelihood likelihood(clamp_does_nothing().model);
  const find::Model& model = likelihood.model();
  find::Index renew = 0;
  while (model.repairs[renew].name != "renew fuse_deck") ++renew;
  std::vector<find::Event> events{answer("meter across fuse_deck", Shown::out), answer("look at fuse_deck", Shown::out),
                                  find::FailedRepair{renew}};
  CHECK(slips_of(likelihood, events).events.empty());
  events.emplace_back(answer("meter across fuse_deck", Shown::as_should));
  CHECK(slips_of(likelihood, events).events.empty());
}

// Each fault with answers drawn from its own rows, slips at their usual rate among them.
TEST_CASE("answers that a fault explains are hardly ever said to disagree") {
  const find::Likelihood likelihood(clamp_does_nothing().model);
  const find::Model& model = likelihood.model();
  const find::Symptom& symptom = model.symptoms.front();
  std::mt19937_64 bits(7);
  const auto unit = [&] { return static_cast<double>(bits() >> 11) * 0x1p-53; };
  int cases = 0, falsely = 0;
  for (std::size_t n = 0; n < 3 * model.modes.size(); ++n) {
    const auto mode = static_cast<find::Index>(n % model.modes.size());
    if (likelihood.of(symptom.observation, symptom.outcome, {mode}) < 0.2) continue;
    std::vector<find::Event> events;
    std::set<find::Index> asked;
    double slips = 1.0;
    for (int drawn = 0; drawn < 12; ++drawn) {
      const auto o = static_cast<find::Index>(unit() * static_cast<double>(model.observations.size()));
      if (!asked.insert(o).second) continue;
      std::vector<double> chance(model.observations[o].outcomes.size());
      likelihood.of(o, {mode}, chance);
      double at = unit();
      find::Index outcome = 0;
      while (outcome + 1U < chance.size() && at >= chance[outcome]) at -= chance[outcome++];
      const double share = chance[outcome] / *std::max_element(chance.begin(), chance.end());
      if (share < 0.05) slips *= share;
      events.emplace_back(find::Answer{o, outcome});
    }
    ++cases;
    if (slips_of(likelihood, events).events.empty()) continue;
    falsely += slips >= 0.01 ? 1 : 0;
  }
  CHECK(cases > 75);
  CHECK(falsely <= 1);
}
