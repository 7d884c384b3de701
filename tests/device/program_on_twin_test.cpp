// The demonstration's story with its program: with the connector repair undone the program closes the clamp and ends;
// with it the clamp stays still. The program is a process of its own; the agent is the real one.
#include <doctest/doctest.h>

#include <algorithm>

#include "link/flaky_stream.h"
#include "session/session.h"
#include "session/simulated_person.h"
#include "twin_bench.h"

namespace ringout::device_tests {
namespace {

using session::Session;
using session::SimulatedPerson;

constexpr Duration ms(std::int64_t n) {
  return Duration::milliseconds(n);
}

// All points found as drawn, as a proving of this robot gives them.
std::vector<prove::Finding> proved_findings(Bench& bench) {
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  auto proving = session.prove({});
  REQUIRE_FALSE(proving.ended_early);
  return proving.findings;
}

TEST_CASE("a proved robot runs its program to the end, outputs off") {
  Bench bench = make_bench("", Table::loaded, RINGOUT_TWIN_PROGRAM);
  REQUIRE(bench.twin->program_problem().empty());
  const std::vector<prove::Finding> known = proved_findings(bench);
  SimulatedPerson person(bench.twin->bystander());
  std::vector<std::string> steps;
  session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person, .known = known};
  setup.observe = [&](const session::Event& event) {
    const auto* at = std::get_if<session::ProgramAt>(&event);
    if (at && (steps.empty() || steps.back() != at->step)) steps.push_back(at->step);
  };
  Session session(setup);
  REQUIRE(session.open());
  const auto refused = session.run({});
  REQUIRE_FALSE(refused);
  CHECK(refused.error().id == "session.other-table");  // proof marks are in the table, so it is loaded again first
  REQUIRE(session.load());
  const auto run = session.run({.at_most = ms(60'000)});
  REQUIRE_MESSAGE(run, (run ? "" : run.error().message));
  CHECK(run->state == wire::ProgramState::ended);
  CHECK(run->last_step == "done");
  CHECK(std::find(steps.begin(), steps.end(), "close the clamp") != steps.end());
  static_cast<void>(bench.twin->run_until(bench.twin->now() + ms(1000)));
  CHECK(bench.most_current() < 0.02);
  CHECK(bench.hard_stop_hits() == 0);
}

TEST_CASE(
    "before anything is proved the program shows the connector repair: the pump acts, and the clamp stays still") {
  Bench bench = make_bench("connector_repair", Table::loaded, RINGOUT_TWIN_PROGRAM);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto run = session.run({});
  REQUIRE_MESSAGE(run, (run ? "" : run.error().message));
  CHECK(run->last_step == "close the clamp");
  const auto seen = bench.twin->bystander().look();
  REQUIRE(seen);
  const auto acted = [&](const std::string& point) {
    return std::any_of(seen->begin(), seen->end(), [&](const plant::Seen& one) { return one.point == point; });
  };
  CHECK(acted("mist_pump"));
  CHECK(acted("belt"));
  CHECK_FALSE(acted("clamp"));
}

TEST_CASE("a program cannot drive what is not proved into a hard stop: the lift's end switches are exchanged") {
  Bench bench = make_bench("end_switches_exchanged", Table::loaded, RINGOUT_TWIN_PROGRAM);
  SimulatedPerson person(bench.twin->bystander());
  std::string notice;
  session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person};
  setup.observe = [&](const session::Event& event) {
    if (const auto* said = std::get_if<session::Notice>(&event)) notice += said->text;
  };
  Session session(setup);
  REQUIRE(session.open());
  const auto run = session.run({});
  REQUIRE_MESSAGE(run, (run ? "" : run.error().message));
  CHECK(run->state == wire::ProgramState::ended);
  CHECK(bench.hard_stop_hits() == 0);
  CHECK(notice.find("lift") != std::string::npos);
}

TEST_CASE("a program that takes too long is stopped, and the line it waits at is named") {
  Bench bench = make_bench("", Table::loaded, RINGOUT_TWIN_PROGRAM);
  SimulatedPerson person(bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto run = session.run({.at_most = ms(500)});
  REQUIRE_FALSE(run);
  CHECK(run.error().kind == ErrorKind::stopped);
  CHECK(run.error().id == "session.program-too-long");
  INFO(run.error().message);
  CHECK(run.error().message.find("it was at line ") != std::string::npos);
  CHECK(run.error().message.find("waiting for ") != std::string::npos);
  static_cast<void>(bench.twin->run_until(bench.twin->now() + ms(1000)));
  CHECK(bench.most_current() < 0.02);
}

TEST_CASE("a controller that starts anew while the program runs is said as such, at once") {
  Bench bench = make_bench("", Table::loaded, RINGOUT_TWIN_PROGRAM);
  SimulatedPerson person(bench.twin->bystander());
  session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person};
  Instant reset_at{};
  setup.observe = [&](const session::Event& event) {
    const auto* at = std::get_if<session::ProgramAt>(&event);
    if (at == nullptr || at->line == 0 || reset_at != Instant{}) return;
    reset_at = bench.twin->now();
    bench.twin->reset(wire::ResetCause::watchdog);
  };
  Session session(setup);
  REQUIRE(session.open());
  const auto run = session.run({.at_most = ms(20'000)});
  REQUIRE_FALSE(run);
  CHECK(run.error().kind == ErrorKind::stopped);
  CHECK(run.error().message.find("watchdog") != std::string::npos);
  CHECK(bench.twin->now() - reset_at < ms(1000));
}

TEST_CASE("the cable out while the program runs: the agent stops it") {
  Bench bench = make_bench("", Table::loaded, RINGOUT_TWIN_PROGRAM);
  SimulatedPerson person(bench.twin->bystander());
  link::FlakyStream line(*bench.line, {}, 1);
  session::Setup setup{.robot = bench.robot, .stream = line, .person = person};
  setup.observe = [&](const session::Event& event) {
    if (std::holds_alternative<session::ProgramAt>(event)) line.pull_out_after_writes(20);
  };
  Session session(setup);
  REQUIRE(session.open());
  const auto run = session.run({});
  REQUIRE_FALSE(run);
  CHECK(run.error().kind == ErrorKind::unreachable);
  static_cast<void>(bench.twin->run_until(bench.twin->now() + ms(1000)));
  CHECK(bench.most_current() < 0.02);
}

}  // namespace
}  // namespace ringout::device_tests
