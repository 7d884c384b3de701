// Recorded bumps, frozen: their replay must give the findings that were frozen with them, so that a change of the
// identification shows as a difference to be read. RINGOUT_UPDATE_GOLDEN=1 writes the findings anew, never the bumps.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "capture/capture.h"
#include "prove/identify.h"
#include "robot/testing.h"

using namespace ringout;

namespace {

const std::string root = RINGOUT_SOURCE_DIR;

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

// Two decimals: far from what two compilers' rounding could change, near to what tuning changes.
std::string words(const prove::Finding& f) {
  std::string alike;
  for (const std::string& name : f.alike) alike += " " + name;
  return fmt::format("{}: {} on {}, {}, strength {:.2f}, confidence {:.2f}{}{}\n", f.point, name_of(f.condition),
                     f.found_port.value_or("no port"), name_of(f.sign), f.strength, f.confidence,
                     alike.empty() ? "" : ", alike", alike);
}

std::string replayed(const robot::Robot& drawn, const std::string& name) {
  Diagnostics found;
  const std::string path = root + "/tests/regressions/bumps/" + name + ".capture";
  const auto kept = capture::read_capture(SourceText(path, read_file(path)), found);
  REQUIRE(kept);
  CHECK(found.all().empty());
  prove::Evidence evidence;
  evidence.bumps = capture::bump_records(*kept);
  for (const auto& entry : kept->entries) {
    const auto* said = std::get_if<capture::AnswerGiven>(&entry);
    if (said == nullptr) continue;
    evidence.looks.push_back({.bridge = said->bridge,
                              .saw = said->saw == "device" ? prove::Saw::device : prove::Saw::nothing,
                              .point = said->point,
                              .direction = said->direction});
  }
  CHECK(evidence.bumps.size() == 12);
  CHECK(evidence.looks.size() == 3);
  std::string text = name + "\n";
  for (const prove::Finding& f : prove::identify(drawn, evidence, {}).findings) {
    if (f.condition != prove::Condition::untested && f.evidence != "not bumped") text += "  " + words(f);
  }
  return text;
}

}  // namespace

TEST_CASE("frozen bumps give the frozen findings") {
  const robot::Robot drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  std::string text;
  for (const char* name : {"leads_exchanged", "other_motor_and_dead_channel", "reversed_lift_and_loose_belt"}) {
    text += replayed(drawn, name);
  }
  const std::string path = root + "/tests/golden/prove/frozen_findings.txt";
  if (std::getenv("RINGOUT_UPDATE_GOLDEN") != nullptr) std::ofstream(path, std::ios::binary) << text;
  CHECK(text == read_file(path));
}
