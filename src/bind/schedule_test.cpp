#include "bind/schedule.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "bind/test_robot.h"
#include "tests/golden.h"

namespace ringout::bind {
namespace {

// A reader of RFC 4180, written for this test alone.
std::vector<std::vector<std::string>> read_csv(const std::string& text) {
  std::vector<std::vector<std::string>> rows{{""}};
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    std::string& field = rows.back().back();
    if (quoted) {
      if (c != '"') {
        field += c;
      } else if (i + 1 < text.size() && text[i + 1] == '"') {
        field += text[++i];
      } else {
        quoted = false;
      }
    } else if (c == '"') {
      quoted = true;
    } else if (c == ',') {
      rows.back().emplace_back();
    } else if (c == '\r') {
      REQUIRE(text[++i] == '\n');
      rows.push_back({""});
    } else {
      field += c;
    }
  }
  rows.pop_back();
  return rows;
}

}  // namespace

TEST_CASE("one row a point, all rows of one length, awkward texts kept") {
  robot::Robot robot = tray_carrier_for_tests();
  robot.inputs[6].hand_action = "lay a \"full\" tray, gently,\non the deck";
  const auto rows = read_csv(point_schedule_csv(robot));
  REQUIRE(rows.size() == 17);
  for (const auto& row : rows) CHECK(row.size() == rows[0].size());
  const auto column = [&](const char* name) {
    return static_cast<std::size_t>(std::find(rows[0].begin(), rows[0].end(), name) - rows[0].begin());
  };
  CHECK(rows[4][column("point")] == "clamp");
  CHECK(rows[4][column("port")] == "OUT4");
  CHECK(rows[4][column("feed")] == "main_battery > main_breaker > fuse_deck");
  CHECK(rows[14][column("seen or done by hand")] == "lay a \"full\" tray, gently,\non the deck");
}

TEST_CASE("the schedule of the tray carrier is as in the golden file") {
  const std::string text = point_schedule_csv(tray_carrier_for_tests());
  ringout::testing::check_golden("bind/schedule.csv", text);
}

}  // namespace ringout::bind
