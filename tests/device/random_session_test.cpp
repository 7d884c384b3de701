// Random robots proved as a team proves them: the agent, the wire, the session and a person between the machine and the
// estimator. tests/scenarios judges two hundred without these; here the same judge looks at what comes through them.
#include <doctest/doctest.h>

#include <algorithm>

#include "plant/as_built.h"
#include "robot/testing.h"
#include "session/simulated_person.h"
#include "tests/scenarios/judge.h"
#include "tests/scenarios/random_robot.h"
#include "twin_bench.h"

namespace ringout::device_tests {
namespace {

constexpr int most_deviations = 4;
constexpr int robots = 20;
constexpr int unsure_at_most = 2;  // of some 300 points: not wrong, but asked about once more

bool turned_by_hand(const session::Proving& proving, const std::string& point) {
  return std::any_of(proving.hands.begin(), proving.hands.end(), [&](const auto& hand) { return hand.input == point; });
}

// The judge of the bumps calls what no motor moves untested; here a person has turned it by hand.
bool sits_where_found(const plant::AsBuilt& truth, const std::vector<prove::Finding>& findings,
                      const std::string& point) {
  const auto built = std::find_if(truth.inputs.begin(), truth.inputs.end(),
                                  [&](const plant::BuiltInput& i) { return i.drawn->name == point; });
  const auto found =
      std::find_if(findings.begin(), findings.end(), [&](const prove::Finding& f) { return f.point == point; });
  return built != truth.inputs.end() && found != findings.end() && built->port != nullptr &&
         found->found_port == built->port->name;
}

TEST_CASE("random robots come out right through agent, wire and session") {
  const robot::Robot model = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  int unsure = 0;
  int whole = 0;
  for (std::uint64_t seed = 1; seed <= robots; ++seed) {
    CAPTURE(seed);
    const robot::Robot drawn = scenarios::random_robot(model, seed);
    const plant::Deviations deviations = scenarios::random_deviations(drawn, seed, most_deviations);
    // Played beside it for the judge, who asks how far each motor really goes in a bump.
    scenarios::Bench played(drawn, deviations, seed);
    static_cast<void>(scenarios::prove_all(played, drawn, session::ProveOptions{}.identify));
    Bench bench = make_bench(drawn, deviations, Table::loaded);
    session::SimulatedPerson person(bench.twin->bystander());
    session::Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
    REQUIRE(session.open());
    const auto proving = session.prove({});
    CHECK(bench.hard_stop_hits() == 0);
    if (proving.ended_early) {
      CAPTURE(proving.ended_early->message);
      CHECK(proving.ended_early->id == "session.no-sensor-supply");  // the one cause that is told before anything moves
      continue;
    }
    ++whole;
    const plant::AsBuilt truth = plant::as_built(drawn, deviations);
    for (const auto& m : scenarios::judge(drawn, truth, played, proving.findings)) {
      if (turned_by_hand(proving, m.point) && sits_where_found(truth, proving.findings, m.point)) continue;
      if (m.expected.starts_with("(surely)")) {
        ++unsure;
        continue;
      }
      FAIL_CHECK("seed " << seed << ", " << m.point << ": expected " << m.expected << ", got " << m.got);
    }
  }
  CHECK(unsure <= unsure_at_most);
  CHECK(whole >= robots - 2);
}

}  // namespace
}  // namespace ringout::device_tests
