// 200 seeded random robots with up to four deviations each: every point's finding right, by the rule in judge.h.
#include <doctest/doctest.h>

#include "bench.h"
#include "judge.h"
#include "plant/as_built.h"
#include "prove/hand_proof.h"
#include "random_robot.h"
#include "robot/testing.h"
#include "session/session.h"

using namespace ringout;

namespace {

constexpr int most_deviations = 4;

void prove_robots(std::uint64_t first, std::uint64_t last) {
  const robot::Robot model = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const prove::IdentifyOptions options = session::ProveOptions{}.identify;  // what the product proves with
  for (std::uint64_t seed = first; seed <= last; ++seed) {
    CAPTURE(seed);
    const robot::Robot drawn = scenarios::random_robot(model, seed);
    const plant::Deviations deviations = scenarios::random_deviations(drawn, seed, most_deviations);
    scenarios::Bench bench(drawn, deviations, seed);
    const scenarios::Proving proving = scenarios::prove_all(bench, drawn, options);
    std::vector<prove::Finding> findings = proving.identification.findings;
    std::vector<capture::HandRecord> hands;
    for (const auto& request : prove::hand_requests(drawn)) hands.push_back(bench.work_by_hand(request.input));
    for (auto& f : prove::find_by_hand(drawn, hands)) findings.push_back(f);
    const auto truth = plant::as_built(drawn, deviations);
    for (const auto& m : scenarios::judge(drawn, truth, bench, findings)) {
      FAIL_CHECK("seed " << seed << ", " << m.point << ": expected " << m.expected << ", got " << m.got);
    }
    for (const auto& m : bench.truth().motors) CHECK_MESSAGE(m.hard_stop_hits == 0, "seed " << seed << ", " << m.point);
  }
}

}  // namespace

TEST_CASE("random robots 1 to 50") {
  prove_robots(1, 50);
}
TEST_CASE("random robots 51 to 100") {
  prove_robots(51, 100);
}
TEST_CASE("random robots 101 to 150") {
  prove_robots(101, 150);
}
TEST_CASE("random robots 151 to 200") {
  prove_robots(151, 200);
}
