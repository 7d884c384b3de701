#include "robot/difference.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "robot/fingerprint.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

// Without its load cases and duty cycles, which name outputs that are renamed here.
std::string demonstration_text() {
  const std::string text = testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text();
  return text.substr(0, text.find("# ---- load cases"));
}

Robot with(const std::string& after, const std::string& from, const std::string& to) {
  std::string text = demonstration_text();
  const std::size_t start = text.find(after);
  REQUIRE(start != std::string::npos);
  const std::size_t at = text.find(from, start);
  REQUIRE(at != std::string::npos);
  text.replace(at, from.size(), to);
  return testing::robot_from(RINGOUT_SOURCE_DIR, SourceText("changed.toml", text));
}

// "point.what before -> after [T][P][L]" a line.
std::string told(const Robot& before, const Robot& after) {
  std::string out;
  for (const Change& c : difference(before, after)) {
    out += (c.point.empty() ? "" : c.point + ".") + c.what + " " + c.before + " -> " + c.after;
    out += std::string(" ") + (c.touches_table ? "T" : "") + (c.touches_program ? "P" : "") +
           (c.loses_proof ? "L" : "") + "\n";
  }
  return out;
}

}  // namespace

// Catalogue of parametrised CRC algorithms (G. Cook, reveng.sourceforge.io), CRC-32/ISO-HDLC: check value. From memory.
TEST_CASE("the checksum has its published check value") {
  CHECK(crc32("123456789") == 0xCBF43926U);
}

TEST_CASE("the program's canonical text is names and kinds in order") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  CHECK(program_text(robot) ==
        "drive_left:bridge motor\ndrive_right:bridge motor\nlift:bridge motor\nclamp:bridge motor\nbelt:bridge motor\n"
        "mist_pump:on/off\nwarning_lamp:on/off\nleft_encoder:encoder\nright_encoder:encoder\nlift_encoder:encoder\n"
        "belt_encoder:encoder\nlift_bottom:switch\nlift_top:switch\ntray_present:switch\nclamp_position:analogue\n"
        "range_ahead:analogue\n");
}

TEST_CASE("what is no name or kind leaves the program's fingerprint alone") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const std::uint32_t now = program_fingerprint(robot);
  CHECK(program_fingerprint(with("[robot]", "[robot]", "# a comment\n[robot]")) == now);
  CHECK(program_fingerprint(with("name = \"lift\"", "length = \"0.9 m\"", "length = \"1.9 m\"")) == now);
  CHECK(program_fingerprint(with("name = \"lift\"", "OUT3", "OUT8")) == now);
  CHECK(program_fingerprint(with("[[output]]", "\"mist_pump\"", "\"sprayer\"")) != now);
  // Tables that hold no point may stand anywhere.
  std::string text = demonstration_text();
  const std::size_t from = text.find("[owners]");
  const std::size_t to = text.find("# ---- supply");
  const std::string moved = text.substr(0, from) + text.substr(to) + "\n" + text.substr(from, to - from);
  CHECK(program_fingerprint(testing::robot_from(RINGOUT_SOURCE_DIR, SourceText("moved.toml", moved))) == now);
}

TEST_CASE("what differs is told as a person would say it, with what it touches") {
  const Robot before = with("[robot]", "[robot]", "[robot]");
  struct Row {
    const char* after;
    const char* from;
    const char* to;
    const char* told;
  };
  const Row rows[] = {
      {"[robot]", "[robot]", "# a comment\n[robot]", ""},
      {"name = \"lift\"", "OUT3", "OUT8", "lift.port OUT3 -> OUT8 TL\n"},
      {"name = \"lift\"", "0.9 m", "1.9 m", "lift.wire.length 0.9 m -> 1.9 m \n"},
      {"name = \"lift\"", "18 AWG", "0.75 mm2", "lift.wire.size 18 AWG -> 0.75 mm2 L\n"},
      {"name = \"lift\"", "18 AWG", "16 AWG", "lift.wire.size 18 AWG -> 16 AWG L\n"},
      {"name = \"lift\"", "off = \"brake\"", "off = \"coast\"", "lift.off brake -> coast T\n"},
      {"name = \"clamp\"", "60 %", "50 %", "clamp.max_level 60 % -> 50 % T\n"},
      {"name = \"drive_right\"", "reversed = true", "reversed = false", "drive_right.reversed true -> false TL\n"},
      {"name = \"lift_encoder\"", "shaft = \"motor\"", "shaft = \"output\"", "lift_encoder.shaft motor -> output TL\n"},
      {"[owners]", "Wim", "Ada", "owners.wiring Wim -> Ada \n"},
      {"name = \"lift\"", "300 mm", "310 mm", "lift.mechanism.travel 0 to 0.3 m -> 0 to 0.31 m T\n"},
      {"name = \"lift\"", "0.14 N*m", "0.15 N*m", "lift.mechanism.friction 0.14 N*m -> 0.15 N*m \n"},
      {"name = \"fuse_lift\"", "blade_fuse_10a", "blade_fuse_15a",
       "protection fuse_lift.device blade_fuse_10a -> blade_fuse_15a \nlift.feed fuse_lift -> fuse_lift (changed) L\n"},
      {"[battery]", "90 %", "80 %", "battery.state_of_charge 90 % -> 80 % \n"},
      {"name = \"warning_lamp\"", "\"warning_lamp\"", "\"beacon\"",
       "warning_lamp.point drawn -> gone TPL\nbeacon.point  -> new TPL\n"},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.to));
    CHECK(told(before, with(row.after, row.from, row.to)) == row.told);
  }
}

TEST_CASE("changed load cases, duty cycles and tolerances are told, and touch nothing") {
  const Robot before = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  Robot after = before;
  after.load_cases[0].state_of_charge = 0.4;
  after.load_cases[2].name = "up_the_aisle";
  after.duty_cycles[0].steps[1].duration = seconds(5);
  after.tolerances[0].half_width *= 2.0;
  after.ambient = celsius(30);
  after.outputs[2].mechanism->asked_speed = 0.03;
  after.outputs[2].wire.laying = Laying::bundled;
  CHECK(program_fingerprint(after) == program_fingerprint(before));
  int told_of = 0;
  for (const Change& c : difference(before, after)) {
    CAPTURE(c.what);
    CHECK_FALSE(c.touches_table);
    CHECK_FALSE(c.touches_program);
    CHECK_FALSE(c.loses_proof);
    ++told_of;
  }
  CHECK(told_of == 8);  // one each, and two for the renamed case
  CHECK(told(before, after).find("load case both_drives_stalled.state_of_charge 50 % -> 40 %") != std::string::npos);
  CHECK(told(before, after).find("ambient 25 °C -> 30 °C") != std::string::npos);
}

TEST_CASE("two points in another order need table and program, but lose no proof") {
  const Robot before = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  Robot after = before;
  std::swap(after.outputs[5], after.outputs[6]);
  const std::vector<Change> changes = difference(before, after);
  REQUIRE(changes.size() == 1);
  CHECK(changes[0].what == "order of the points");
  CHECK(changes[0].touches_table);
  CHECK(changes[0].touches_program);
  CHECK_FALSE(changes[0].loses_proof);
}
