// How far start current, running current and travel scatter about what the drawn motor lets expect, and where the same
// figures of wrong motors lie: motor_scatter FIRST COUNT. The spreads of prove/motor_match.cpp are taken from it.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include "bench.h"
#include "plant/as_built.h"
#include "prove/motor_match.h"
#include "random_robot.h"
#include "robot/testing.h"

using namespace ringout;

namespace {

struct Spread {
  std::vector<double> logs;
  void add(double seen, double wanted) {
    if (seen > 0.0 && wanted > 0.0) logs.push_back(std::log(seen / wanted));
  }
  void print(const std::string& name) const {
    double sum = 0.0, squares = 0.0, most = 0.0;
    for (const double l : logs) sum += l;
    const double mean = sum / static_cast<double>(logs.size());
    for (const double l : logs) {
      squares += (l - mean) * (l - mean);
      most = std::max(most, std::abs(l - mean));
    }
    std::printf("%-36s n %4zu  ratio %.3f  scatter %.3f  farthest %.3f\n", name.c_str(), logs.size(), std::exp(mean),
                std::sqrt(squares / static_cast<double>(logs.size())), most);
  }
};

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t first = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 5001;
  const std::uint64_t count = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 60;
  const auto model = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  std::map<std::string, Spread> all;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const auto drawn = scenarios::random_robot(model, seed);
    plant::Deviations deviations;
    deviations.seed = seed;
    scenarios::Bench bench(drawn, deviations, seed);
    prove::Evidence evidence;
    const prove::BumpPlan plan = prove::plan_bumps(drawn);
    for (const auto& o : drawn.outputs) {
      if (o.mechanism) bench.bump_pair(drawn.port_of(o.port).index, plan, evidence.bumps);
    }
    const prove::Explanations x(drawn, evidence);
    for (const auto& o : drawn.outputs) {
      if (!o.mechanism) continue;
      const auto& motor = *drawn.device_of(o.device).as<robot::MotorDevice>();
      const std::size_t bridge = drawn.port_of(o.port).index;
      const auto seen = prove::motor_answer(x, bridge, std::nullopt);
      const auto wanted = prove::motor_wanted(x, o, motor, bridge, o.reversed ? -1 : 1);
      const double unit = o.mechanism->travel_is_length && o.mechanism->radius ? o.mechanism->radius->si : 1.0;
      if (seen.start) all["start " + o.name].add(seen.start->value, wanted.start);
      if (seen.running) all["running " + o.name].add(seen.running->value, wanted.running);
      all["travel " + o.name].add(bench.travel(o.name), wanted.shaft_rad * unit);
    }
  }
  for (const auto& [name, spread] : all) spread.print(name);
  return 0;
}
