// The table of rules: complete, in step with docs/rules.md and with what the robot file's checks report, and silent on
// what is in order. What fires each rule is in firing_test.cpp.

#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>

#include "desk/rules/rule.h"
#include "physics/wire.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::desk;

namespace {

std::set<std::string> ids_in(const std::string& file) {
  const std::string text = robot::testing::load_text(RINGOUT_SOURCE_DIR, file).text();
  std::set<std::string> out;
  const std::regex pattern("\"(robot\\.[a-z-]+)\"");
  for (std::sregex_iterator i(text.begin(), text.end(), pattern), end; i != end; ++i) out.insert((*i)[1]);
  return out;
}

}  // namespace

TEST_CASE("each rule says what, why and what to do, under an id of its own") {
  std::set<std::string_view> ids;
  std::size_t own = 0;
  for (const Rule& r : all_rules()) {
    CAPTURE(std::string(r.id));
    CHECK(ids.insert(r.id).second);
    CHECK(r.id.find('.') != std::string_view::npos);
    CHECK_FALSE(r.title.empty());
    CHECK_FALSE(r.remedy.empty());
    REQUIRE_FALSE(r.reason.empty());
    CHECK(r.reason.back() == '.');
    CHECK(r.remedy.back() == '.');
    CHECK((r.check != nullptr) == (r.home == Home::desk));
    CHECK(rule_named(r.id) == &r);
    if (r.home == Home::desk) ++own;
  }
  CHECK(own >= 40);
  CHECK(rule_named("no.such-rule") == nullptr);
}

TEST_CASE("the table holds every finding of the drawing's checks, and no other under that name") {
  std::set<std::string> reported = ids_in("src/robot/check_references.cpp");
  reported.merge(ids_in("src/robot/check_inputs.cpp"));
  std::set<std::string> listed;
  for (const Rule& r : all_rules()) {
    if (r.home == Home::references) listed.emplace(r.id);
  }
  CHECK(reported == listed);
  std::set<std::string> refused = ids_in("src/robot/resolve.cpp");
  refused.merge(ids_in("src/robot/case_file.cpp"));
  for (const Rule& r : all_rules()) {
    CAPTURE(std::string(r.id));
    if (r.home == Home::reading) CHECK(refused.count(std::string(r.id)) == 1);
  }
}

TEST_CASE("docs/rules.md is written from the table") {
  const std::string page = rules_page();
  if (std::getenv("RINGOUT_UPDATE_GOLDEN") != nullptr) {
    std::ofstream(std::string(RINGOUT_SOURCE_DIR) + "/docs/rules.md", std::ios::binary) << page;
  }
  CHECK(page == robot::testing::load_text(RINGOUT_SOURCE_DIR, "docs/rules.md").text());
}

TEST_CASE("the demonstration robot has honest notes, and nothing worse") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto found = desk_check(robot, {.draws = 0}).findings;
  CHECK(found.size() > 5);
  for (const RuleFinding& f : found) {
    CAPTURE(f.rule);
    CAPTURE(f.text);
    CHECK(f.severity == Severity::note);
    CHECK(f.place.line > 0);
    CHECK(rule_named(f.rule) != nullptr);
  }
}

TEST_CASE(
    "a wire thinner than its protection is told wherever it is: battery lead, first protection's, thinner than any "
    "table") {
  const robot::Robot sound = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto told_at = [&](Span place, const robot::Robot& robot) {
    for (const RuleFinding& f : findings_of(robot, desk_check(robot, {.draws = 0}))) {
      if (f.rule == "protection.larger-than-wire" && f.place.line == place.line) return true;
    }
    return false;
  };
  const auto thin = [](robot::Wire& wire, int awg) {
    wire.awg = awg;
    wire.cross_section = physics::awg_area(awg);
  };
  robot::Robot robot = sound;
  CHECK_FALSE(told_at(robot.battery.at.of("wire"), robot));
  thin(robot.battery.wire, 20);
  CHECK(told_at(robot.battery.at.of("wire"), robot));
  robot = sound;
  thin(robot.protections[0].wire, 20);
  robot.protections[0].wire.length = metres(1.5);
  CHECK(told_at(robot.protections[0].at.of("wire"), robot));
  robot = sound;
  CHECK_FALSE(told_at(robot.outputs[0].at.of("wire"), robot));
  thin(robot.outputs[0].wire, 30);
  CHECK(told_at(robot.outputs[0].at.of("wire"), robot));
}
