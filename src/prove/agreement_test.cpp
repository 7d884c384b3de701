#include "prove/agreement.h"

#include <doctest/doctest.h>

#include "robot/testing.h"

using namespace ringout;
using namespace ringout::prove;

namespace {

const robot::Robot& robot_drawn() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

Coded coded_as_drawn() {
  Coded coded;
  for (const auto& o : robot_drawn().outputs) {
    coded.points.push_back({o.name, o.kind, CodedEntry{robot_drawn().port_of(o.port).index, o.reversed}});
  }
  for (const auto& i : robot_drawn().inputs) {
    coded.points.push_back({i.name, i.kind, CodedEntry{robot_drawn().port_of(i.port).index, i.reversed}});
  }
  return coded;
}

Finding belt(Condition condition, std::optional<std::string> port, Sign sign = Sign::as_drawn) {
  Finding f;
  f.point = "belt";
  f.drawn_port = "OUT5";
  f.found_port = std::move(port);
  f.sign = sign;
  f.strength = 1.0;
  f.confidence = 0.99;
  f.condition = condition;
  return f;
}

AgreementRow row(const Agreement& a, const std::string& point) {
  for (const auto& r : a.rows) {
    if (r.point == point) return r;
  }
  FAIL("no row for " << point);
  return {};
}

}  // namespace

TEST_CASE("one finding, one verdict, one discipline") {
  struct Case {
    const char* name;
    Finding finding;
    Verdict verdict;
    std::optional<robot::Discipline> by;
    const char* says;
  };
  Finding unsure = belt(Condition::answers, "OUT5");
  unsure.confidence = 0.6;
  Finding held = belt(Condition::jammed, "OUT5", Sign::unknown);
  held.confidence = 0.7;
  held.or_else = {Condition::shorted};
  const Case cases[] = {
      {"as drawn", belt(Condition::answers, "OUT5"), Verdict::proved, {}, ""},
      {"elsewhere", belt(Condition::answers, "OUT8"), Verdict::disagrees, robot::Discipline::wiring, "port = \"OUT8\""},
      {"backwards", belt(Condition::answers, "OUT5", Sign::reversed), Verdict::disagrees, robot::Discipline::wiring,
       "reversed = true"},
      {"direction open", belt(Condition::answers, "OUT5", Sign::unknown), Verdict::untested, {}, "which way"},
      {"not sure", unsure, Verdict::untested, {}, "again"},
      {"one or the other", held, Verdict::untested, {}, ", or the leads of belt touch"},
      {"shorted", belt(Condition::shorted, "OUT5", Sign::unknown), Verdict::disagrees, robot::Discipline::wiring,
       "a short at OUT5: do not drive it again"},
      {"drags", belt(Condition::drags, "OUT5"), Verdict::disagrees, robot::Discipline::mechanics, "held back"},
      {"slips", belt(Condition::slips, "OUT5"), Verdict::disagrees, robot::Discipline::mechanics, "set screw"},
      {"jammed", belt(Condition::jammed, "OUT5", Sign::unknown), Verdict::disagrees, robot::Discipline::mechanics,
       "free"},
      {"dead", belt(Condition::no_current, std::nullopt), Verdict::silent, robot::Discipline::wiring, "fuse_deck"},
      {"loose", belt(Condition::intermittent, "OUT5"), Verdict::disagrees, robot::Discipline::wiring, "comes and goes"},
      {"weak", belt(Condition::weak, "OUT5"), Verdict::disagrees, robot::Discipline::mechanics, "friction"},
      {"not drawn", belt(Condition::something_else, std::nullopt), Verdict::disagrees, robot::Discipline::wiring,
       "not drawn"},
      {"untested", belt(Condition::untested, std::nullopt), Verdict::untested, {}, "prove belt"},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    const AgreementRow r = row(agree(robot_drawn(), coded_as_drawn(), std::vector{c.finding}), "belt");
    CHECK(r.verdict == c.verdict);
    CHECK(r.settled_by == c.by);
    CHECK(r.what_to_do.find(c.says) != std::string::npos);
    if (c.by) CHECK(!r.person.empty());
  }
}

TEST_CASE("the program's account: another table, none, another name, another kind, not read") {
  const std::vector<Finding> findings = {belt(Condition::answers, "OUT5")};
  Coded coded = coded_as_drawn();
  CodedPoint* coded_belt = nullptr;
  for (auto& p : coded.points) {
    if (p.name == "belt") coded_belt = &p;
  }
  REQUIRE(coded_belt != nullptr);
  SUBCASE("another port") {
    coded_belt->entry->port = 3;
  }
  SUBCASE("another sign") {
    coded_belt->entry->reversed = true;
  }
  SUBCASE("no table") {
    coded_belt->entry.reset();
  }
  SUBCASE("another name") {
    coded_belt->name = "conveyor";
  }
  SUBCASE("another kind") {
    coded_belt->kind = robot::PointKind::on_off;
  }
  const AgreementRow r = row(agree(robot_drawn(), coded, findings), "belt");
  CHECK(r.verdict == Verdict::disagrees);
  CHECK(r.settled_by == robot::Discipline::programming);
  CHECK(row(agree(robot_drawn(), std::nullopt, findings), "belt").verdict == Verdict::untested);
}

TEST_CASE("a wiring changed after its proof makes it stale") {
  const std::vector<Finding> findings = {belt(Condition::answers, "OUT5")};
  const std::vector<std::string> touched = {"belt"};
  CHECK(row(agree(robot_drawn(), coded_as_drawn(), findings, touched), "belt").verdict == Verdict::stale);
}

TEST_CASE("nobody is told to exchange the supply leads of a sensor with electronics") {
  const auto reversed = [](const std::string& input, const std::string& found_port) {
    Finding f = belt(Condition::answers, found_port, Sign::reversed);
    f.point = input;
    f.drawn_port = robot_drawn().input(input)->port;
    return row(agree(robot_drawn(), std::nullopt, std::vector{f}), input).what_to_do;
  };
  const std::string range = reversed("range_ahead", robot_drawn().input("range_ahead")->port);
  CHECK(range.find("turn range_ahead round, or draw the sensor that is there; or write reversed = ") == 0);
  const std::string elsewhere = reversed("range_ahead", "AN4");
  CHECK(elsewhere.find("move the plug of range_ahead from AN4 to AN2, and turn range_ahead round") == 0);
  const std::string pot = reversed("clamp_position", robot_drawn().input("clamp_position")->port);
  CHECK(pot.find("where clamp_position is a bare potentiometer, exchange its two end leads (never its wiper's)") == 0);
}

TEST_CASE("corrections are lines to paste, with the rewiring that would do instead") {
  const std::vector<Finding> findings = {belt(Condition::answers, "OUT8", Sign::reversed)};
  const auto all = corrected_wiring(robot_drawn(), findings);
  REQUIRE(all.size() == 2);
  CHECK(all[0].line == "port = \"OUT8\"");
  CHECK(all[0].instead == "move the plug of belt from OUT8 to OUT5");
  CHECK(all[1].line == "reversed = true");
  CHECK(all[1].instead == "exchange the two leads of belt");
  CHECK(corrected_wiring(robot_drawn(), std::vector{belt(Condition::no_current, std::nullopt)}).empty());
}

TEST_CASE("sensors that are all silent have one cause, named for each of them") {
  std::vector<Finding> findings;
  for (const char* point : {"belt_encoder", "lift_encoder"}) {
    Finding f = belt(Condition::silent, std::nullopt, Sign::unknown);
    f.point = point;
    findings.push_back(f);
  }
  for (const char* point : {"belt_encoder", "lift_encoder"}) {
    const AgreementRow r = row(agree(robot_drawn(), coded_as_drawn(), findings), point);
    CHECK(r.settled_by == robot::Discipline::wiring);
    CHECK(r.what_to_do.find("measure the sensors' supply") != std::string::npos);
    CHECK(r.what_to_do.find("lift_encoder, belt_encoder") != std::string::npos);
  }
  findings.back().condition = Condition::answers;
  findings.back().found_port = "ENC3";
  CHECK(row(agree(robot_drawn(), coded_as_drawn(), findings), "belt_encoder").what_to_do.find("supply and lead") !=
        std::string::npos);
}

TEST_CASE("where the coupling of a lift slips, what it lifts is held up first") {
  Finding lift = belt(Condition::slips, "OUT3");
  lift.point = "lift";
  lift.drawn_port = "OUT3";
  const std::vector findings = {lift, belt(Condition::slips, "OUT5")};
  const Agreement agreement = agree(robot_drawn(), coded_as_drawn(), findings);
  CHECK(row(agreement, "lift").what_to_do.find("held up from below") != std::string::npos);
  CHECK(row(agreement, "belt").what_to_do.find("held up") == std::string::npos);
}

TEST_CASE("what the agent does not work is proved by a person's word, and that is said") {
  robot::Robot r = robot_drawn();
  r.outputs.front().kind = robot::PointKind::servo;
  const std::string name = r.outputs.front().name;
  const Agreement open = agree(r, std::nullopt, {});
  CHECK(row(open, name).what_to_do.find("with a tester, and tell 'prove'") != std::string::npos);
  CHECK(row(open, "warning_lamp").what_to_do.find("no sensor sees it") != std::string::npos);
  CHECK(row(open, "lift").what_to_do == "prove lift");
}
