#include <cstdio>
#include <cstdlib>
#include "bench.h"
#include "robot/testing.h"
using namespace ringout;
int main(int argc, char** argv) {
  const auto drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto plan = prove::plan_bumps(drawn);
  std::printf("level %d slope %d duration %d pairs %d/%d enc %u\n", plan.level_permille, plan.slope_permille_per_ms,
              plan.duration_ms, plan.pairs_planned, plan.pairs_allowed, plan.encoder_allowance);
  for (auto& r : plan.reaches) std::printf("%s %g of %g\n", r.output.c_str(), r.worst, r.clearance);
  for (auto& c : plan.conflicts) std::printf("conflict %s\n", c.c_str());
  for (auto& o : drawn.outputs)
    if (o.mechanism) std::printf("%s breakaway %.3f\n", o.name.c_str(), prove::motor_figures(drawn, o).breakaway_level);
  plant::Deviations dev;
  if (argc > 1) {
    Diagnostics found;
    auto text = robot::testing::load_text(RINGOUT_SOURCE_DIR, argv[1]);
    auto d = plant::read_deviations(text, found);
    if (!d) {
      for (auto& x : found.all()) std::printf("%s\n", x.message.c_str());
      return 1;
    }
    dev = *d;
  }
  scenarios::Bench bench(drawn, dev, argc > 2 ? std::strtoul(argv[2], nullptr, 10) : 7);
  prove::IdentifyOptions opt;
  if (argc > 3) opt.settle_at = prove::IdentifyOptions::first_proving;
  auto p = scenarios::prove_all(bench, drawn, opt);
  for (auto& f : p.identification.findings)
    std::printf("%-16s drawn %-5s found %-5s %-9s str %.2f conf %.6f %-12s\n    %s\n", f.point.c_str(),
                f.drawn_port.c_str(), f.found_port.value_or("-").c_str(), name_of(f.sign), f.strength, f.confidence,
                name_of(f.condition), f.evidence.c_str());
  std::printf("looks %d best %.4f  supply %s weak %d\n", p.looks, p.identification.confidence,
              p.identification.supply.evidence.c_str(), p.identification.supply.weak);
  for (auto& l : p.evidence.looks) std::printf("look %d -> %s %d\n", l.bridge, l.point.c_str(), l.direction);
  for (auto& m : bench.truth().motors)
    std::printf("%s pos %g hits %d\n", m.point.c_str(), m.position, m.hard_stop_hits);
}
