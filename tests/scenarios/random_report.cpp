// How many of N random robots come out right: random_report FIRST COUNT. For tuning and for the record; the test runs
// the same.
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>

#include "bench.h"
#include "judge.h"
#include "plant/as_built.h"
#include "prove/hand_proof.h"
#include "random_robot.h"
#include "robot/testing.h"
#include "session/session.h"

using namespace ringout;

namespace {

std::string described(const plant::Deviation& d) {
  std::string text = plant::name_of(d.kind);
  for (const auto& p : d.points) text += " " + p;
  return text + " " + d.part + d.port + d.device + d.channel;
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t first = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1;
  const std::uint64_t count = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 200;
  prove::IdentifyOptions options = session::ProveOptions{}.identify;
  if (argc > 3 && std::strcmp(argv[3], "sparing") == 0) options.settle_at = prove::IdentifyOptions::sparing;
  const auto model = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  int right = 0;
  int looks = 0;
  int hits = 0;
  int conflicts = 0;
  scenarios::Allowances allowances;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const auto drawn = scenarios::random_robot(model, seed);
    const auto deviations = scenarios::random_deviations(drawn, seed, 4);
    if (!prove::plan_bumps(drawn).conflicts.empty()) ++conflicts;
    scenarios::Bench bench(drawn, deviations, seed);
    const auto proving = scenarios::prove_all(bench, drawn, options);
    auto findings = proving.identification.findings;
    std::vector<capture::HandRecord> hands;
    for (const auto& request : prove::hand_requests(drawn)) hands.push_back(bench.work_by_hand(request.input));
    for (auto& f : prove::find_by_hand(drawn, hands)) findings.push_back(f);
    const auto mistakes = scenarios::judge(drawn, plant::as_built(drawn, deviations), bench, findings, &allowances);
    looks += proving.looks;
    for (const auto& m : bench.truth().motors) hits += m.hard_stop_hits;
    if (mistakes.empty()) {
      ++right;
      continue;
    }
    std::printf("seed %llu:", static_cast<unsigned long long>(seed));
    for (const auto& d : deviations.all) std::printf(" [%s]", described(d).c_str());
    std::printf("\n");
    for (const auto& m : mistakes) {
      std::printf("  %s\n    expected %s\n    got %s\n", m.point.c_str(), m.expected.c_str(), m.got.c_str());
    }
    std::fflush(stdout);
  }
  std::printf("%d of %llu right, %.1f looks each, %d hard stop hits, %d plans with conflicts\n", right,
              static_cast<unsigned long long>(count), looks / static_cast<double>(count), hits, conflicts);
  for (const auto& [name, times] : allowances) std::printf("  allowed %d times: %s\n", times, name.c_str());
  return right == static_cast<int>(count) ? 0 : 1;
}
