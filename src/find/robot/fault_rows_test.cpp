#include "find/robot/fault_rows.h"

#include <doctest/doctest.h>

#include <set>

#include "find/robot/repair_kinds.h"
#include "find/robot/testing.h"
#include "robot/testing.h"
#include "tests/golden.h"

using namespace ringout;
using namespace ringout::faults;

TEST_CASE("the shipped rows cover every way of failing, and each says what it rests on") {
  const FaultRows rows = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  for (const PartKind part : all_part_kinds()) {
    for (const Mode mode : modes_of(part)) {
      CAPTURE(name_of(part));
      CAPTURE(name_of(mode));
      const FaultRow* row = rows.fault(part, mode, {}, {});
      REQUIRE(row != nullptr);
      CHECK(row->prior > 0);
      CHECK_FALSE(row->source.empty());
      CHECK(rows.repair(repair_of(part, mode), part).succeeds > 0.5);
    }
  }
  for (const CheckKind kind : all_check_kinds()) CHECK_FALSE(rows.check(kind).source.empty());
}

TEST_CASE("each word of the closed sets is there once") {
  std::set<std::string_view> seen;
  for (const PartKind k : all_part_kinds()) CHECK(seen.insert(name_of(k)).second);
  seen.clear();
  for (const Mode m : all_modes()) CHECK(seen.insert(name_of(m)).second);
  seen.clear();
  for (const CheckKind k : all_check_kinds()) CHECK(seen.insert(name_of(k)).second);
}

TEST_CASE("the page lists every kind of part with its modes, every check and every repair") {
  const std::string page = robot::testing::load_text(RINGOUT_SOURCE_DIR, "docs/faults.md").text();
  for (const PartKind part : all_part_kinds()) {
    std::string row = "| " + std::string(name_of(part)) + " | ";
    for (const Mode mode : modes_of(part)) row += std::string(name_of(mode)) + ", ";
    row.replace(row.size() - 2, 2, " |\n");
    CAPTURE(row);
    CHECK(page.find(row) != std::string::npos);
  }
  for (const CheckKind kind : all_check_kinds()) {
    CAPTURE(name_of(kind));
    CHECK(page.find(name_of(kind)) != std::string::npos);
  }
  for (const RepairKind kind : all_repair_kinds()) {
    CAPTURE(name_of(kind));
    CHECK(page.find(name_of(kind)) != std::string::npos);
  }
}

TEST_CASE("a team's own rows replace those that came before, for one device or point too") {
  std::vector<SourceText> texts = faults::testing::shipped_texts(RINGOUT_SOURCE_DIR);
  texts.emplace_back("ours.toml", R"(
[[part]]
kind = "motor"
faults = [{ mode = "dead", prior = "4 %", source = "our log of 2025" }]
[[part]]
kind = "motor"
device = "clamp_motor_12v"
faults = [{ mode = "dead", prior = "9 %", source = "our log of 2025" }]
[[part]]
kind = "motor"
point = "lift"
faults = [{ mode = "dead", prior = "0 %", source = "new last week" }]
)");
  Diagnostics found;
  const auto rows = read_fault_rows(texts, found);
  REQUIRE(rows.has_value());
  CHECK(rows->fault(PartKind::motor, Mode::dead, "belt_motor_12v", "belt")->prior == doctest::Approx(0.04));
  CHECK(rows->fault(PartKind::motor, Mode::dead, "clamp_motor_12v", "clamp")->prior == doctest::Approx(0.09));
  CHECK(rows->fault(PartKind::motor, Mode::dead, "clamp_motor_12v", "lift")->prior == 0.0);
}

TEST_CASE("what is wrong with rows is told in one run, with its place") {
  const SourceText text("ours.toml", R"([[part]]
kind = "fuse"
faults = [
  { mode = "jammed", prior = "1 %", source = "x" },
  { mode = "blown", prior = "80 %", source = "x" },
  { mode = "blown", prior = "1 %" },
  { mode = "intermittent", prior = "1 %", source = "x" },
  { mode = "intermittent", prior = "2 %", source = "x", odd = 1 },
]
[[part]]
kind = "flux"
checks = 3
[[checks]]
)");
  std::vector<SourceText> texts = faults::testing::shipped_texts(RINGOUT_SOURCE_DIR);
  texts.push_back(text);
  Diagnostics found;
  CHECK_FALSE(read_fault_rows(texts, found).has_value());
  std::string out;
  for (const Diagnostic& d : found.all()) out += render(d, &text);
  ringout::testing::check_golden("find/fault_rows.txt", out);
}

TEST_CASE("a file alone, without the shipped ones, is said to lack rows") {
  Diagnostics found;
  CHECK_FALSE(read_fault_rows({SourceText("ours.toml", "")}, found).has_value());
  REQUIRE(found.has_errors());
  CHECK(found.all().front().id == "faults.no-row");
}
