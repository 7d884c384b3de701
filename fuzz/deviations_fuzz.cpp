// Any text as a deviations file: it is read or explained; what reads and fits the robot can be simulated.
#include <cstddef>
#include <cstdint>
#include <string>

#include "base/check.h"
#include "plant/plant.h"
#include "robot/testing.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace ringout;
  static const robot::Robot drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const SourceText text("fuzz.toml", std::string(reinterpret_cast<const char*>(bytes), size));
  Diagnostics found;
  const auto deviations = plant::read_deviations(text, found);
  RINGOUT_CHECK(deviations.has_value() != found.has_errors());
  if (deviations) {
    plant::check_deviations(*deviations, drawn, text, found);
    if (!found.has_errors()) {
      plant::Plant p(drawn, *deviations, 1);
      for (std::uint8_t bridge = 0; bridge < 8; ++bridge) p.command(bridge, {.duty = 0.7});
      for (int n = 0; n < 20; ++n) p.step(Duration::milliseconds(1));
      const plant::Truth t = p.truth();
      RINGOUT_CHECK(t.energy_in - t.energy_lost - t.energy_stored < 1.0);
    }
  }
  for (const Diagnostic& d : found.all()) RINGOUT_CHECK(!render(d, &text).empty());
  return 0;
}
