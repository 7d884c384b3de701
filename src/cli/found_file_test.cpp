#include "cli/found_file.h"

#include <doctest/doctest.h>

#include "robot/testing.h"

namespace ringout::cli {
namespace {

robot::Robot demonstration() {
  return robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
}

prove::Finding finding(const robot::Robot& robot, const char* point, const char* port) {
  prove::Finding f;
  f.point = point;
  f.drawn_port = robot.output(point) != nullptr ? robot.output(point)->port : robot.input(point)->port;
  f.found_port = port;
  f.sign = prove::Sign::as_drawn;
  f.condition = prove::Condition::answers;
  f.strength = 0.97;
  f.confidence = 0.9991;
  f.evidence = "words with \"quotes\", and ±";
  return f;
}

FoundFile example(const robot::Robot& robot) {
  FoundFile file;
  file.robot = robot.name;
  file.identity = "00112233AABBCCDD";
  file.on = "twin";
  file.person = "at the terminal";
  file.table_fingerprint = 0xBEEF;
  auto silent = finding(robot, "warning_lamp", "");
  silent.found_port.reset();
  silent.condition = prove::Condition::no_current;
  silent.sign = prove::Sign::unknown;
  merge(file, robot, {finding(robot, "lift", robot.output("lift")->port.c_str()), silent}, "2026-03-01", "twin");
  file.coded = prove::Coded{{{"lift", robot::PointKind::bridge_motor, prove::CodedEntry{2, false}},
                             {"old_name", robot::PointKind::encoder, {}}}};
  return file;
}

}  // namespace

TEST_CASE("what is kept is read again as it was") {
  const robot::Robot robot = demonstration();
  const FoundFile before = example(robot);
  const auto after = found_from("found.json", found_text(before));
  REQUIRE(after);
  CHECK(found_text(*after) == found_text(before));
  CHECK(after->points.size() == 2);
  CHECK(after->points[0].finding.found_port == robot.output("lift")->port);
  CHECK_FALSE(after->points[1].finding.found_port);
  CHECK(after->table_fingerprint == 0xBEEF);
  REQUIRE(after->coded);
  CHECK(after->coded->points[0].entry->port == 2);
  CHECK_FALSE(after->coded->points[1].entry);
}

TEST_CASE("a point whose wiring was changed since is stale, and no other") {
  robot::Robot robot = demonstration();
  FoundFile found = example(robot);
  found.coded.reset();
  CHECK(touched_since(robot, found).empty());
  CHECK(still_valid(robot, found).size() == 2);

  for (auto& output : robot.outputs) {
    if (output.name == "lift") output.wire.length = metres(9);
  }
  CHECK(touched_since(robot, found).empty());  // a longer wire proves the same

  for (auto& output : robot.outputs) {
    if (output.name == "lift") output.port = "OUT8";
  }
  CHECK(touched_since(robot, found) == std::vector<std::string>{"lift"});
  CHECK(still_valid(robot, found).size() == 1);
  const auto agreement = agreement_on_paper(robot, found);
  for (const auto& row : agreement.rows) {
    if (row.point == "lift") CHECK(row.verdict == prove::Verdict::stale);
    if (row.point == "belt") CHECK(row.verdict == prove::Verdict::untested);
  }
}

TEST_CASE("fresh findings replace those of the same points, and keep the others") {
  const robot::Robot robot = demonstration();
  FoundFile file = example(robot);
  merge(file, robot, {finding(robot, "lift", "OUT7"), finding(robot, "belt", "OUT5")}, "2026-03-02", "emulated");
  REQUIRE(file.points.size() == 3);
  CHECK(file.points[0].finding.found_port == "OUT7");
  CHECK(file.points[0].when == "2026-03-02");
  CHECK(file.points[1].when == "2026-03-01");
}

TEST_CASE("a simulated robot proves nothing about another machine") {
  CHECK(same_machine("/dev/ttyACM0", "/dev/ttyACM1") == SameMachine::yes);
  CHECK(same_machine("twin:a.toml", "twin:a.toml") == SameMachine::yes);
  CHECK(same_machine("twin", "/dev/ttyACM0") == SameMachine::no);
  CHECK(same_machine("/dev/ttyACM0", "twin") == SameMachine::no);
  CHECK(same_machine("twin", "twin:a.toml") == SameMachine::no);
  CHECK(same_machine("twin", "emulated") == SameMachine::no);
}

TEST_CASE("a damaged file is explained, wherever it is cut") {
  const std::string whole = found_text(example(demonstration()));
  for (std::size_t cut = 0; cut + 2 < whole.size(); cut += 7) {
    const auto read = found_from("found.json", whole.substr(0, cut));
    REQUIRE(!read);
    CHECK(read.error().id == "cli.found-unreadable");
  }
  for (const auto& change : {std::pair{"ringout found 1", "ringout found 2"},
                             {"answers", "replies"},
                             {"0000BEEF", "0000BEE"},
                             {"as drawn", "as it was"},
                             {"\"lift\"", "7"}}) {
    std::string text = whole;
    text.replace(text.find(change.first), std::string(change.first).size(), change.second);
    CAPTURE(change.second);
    CHECK_FALSE(found_from("found.json", text));
  }
}

}  // namespace ringout::cli
