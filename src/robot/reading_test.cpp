// Each rule of reading and of checking, one by one: the demonstration robot with one thing spoilt, and what is found.

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "robot/robot_file.h"
#include "robot/starter.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

// The demonstration without its load cases and duty cycles, which name outputs that are renamed here.
std::string points_text() {
  const std::string text = testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text();
  return text.substr(0, text.find("# ---- load cases"));
}

// Its text with the first `from` after `after` replaced.
std::string spoilt(const std::string& after, const std::string& from, const std::string& to) {
  std::string text = points_text();
  const std::size_t start = text.find(after);
  REQUIRE(start != std::string::npos);
  const std::size_t at = text.find(from, start);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

// Sensors of kinds that the demonstration does not use.
const char* const more_devices = R"(
[[motor]]
name = "motor_24v"
source = "invented"
nominal = "24 V"
free_speed = "4000 rpm"
free_current = "0.2 A"
stall_torque = "0.5 N*m"
stall_current = "12 A"
rotor_inertia = "1e-5 kg*m2"
inductance = "1 mH"

[[analogue]]
name = "sensor_10v"
source = "invented"
measures = "angle"
low_value = "0 deg"
high_value = "120 deg"
at_low = "0 V"
at_high = "10 V"
supply = "10 V"

[[encoder]]
name = "encoder_5000"
source = "invented"
lines_per_revolution = 5000
)";

Catalogue catalogue() {
  std::vector<SourceText> texts = testing::catalogue_texts(RINGOUT_SOURCE_DIR);
  texts.emplace_back("more.toml", more_devices);
  Diagnostics found;
  Catalogue out = read_catalogue(texts, found);
  REQUIRE(found.all().empty());
  return out;
}

std::string joined(const std::vector<std::string>& ids) {
  std::string out;
  for (const std::string& id : ids) out += (out.empty() ? "" : " ") + id;
  return out;
}

std::vector<std::string> ids_of(const std::string& text) {
  Diagnostics found;
  const SourceText source("robot.toml", text);
  const std::optional<Robot> robot = read_robot(source, catalogue(), found);
  CHECK(robot.has_value() != found.has_errors());
  if (robot) check_references(*robot, found);
  std::vector<std::string> ids;
  for (const Diagnostic& d : found.all()) {
    ids.push_back(d.id);
    CHECK(d.file == "robot.toml");
    CHECK_FALSE(d.message.empty());
    if (d.id != "file.too-large") CHECK(d.span.line > 0);
  }
  return ids;
}

struct Spoilt {
  const char* after;
  const char* from;
  const char* to;
  std::vector<std::string> ids;
};

void check_all(const std::vector<Spoilt>& rows) {
  for (const Spoilt& row : rows) {
    const std::string spoiling = std::string(row.from) + " -> " + row.to;
    CAPTURE(spoiling);
    CHECK(joined(ids_of(spoilt(row.after, row.from, row.to))) == joined(row.ids));
  }
}

}  // namespace

TEST_CASE("the demonstration robot and the starter have no finding") {
  CHECK(ids_of(testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text()).empty());
  CHECK(ids_of(starter_robot_file("my_first", catalogue())).empty());
  CHECK(ids_of(starter_robot_file("not a \"name\"", catalogue())).empty());
}

TEST_CASE("the starter's load case works once its lines are no comments") {
  std::istringstream lines(starter_robot_file("my_first", catalogue()));
  std::string text;
  int taken = 0;
  for (std::string line; std::getline(lines, line);) {
    const bool commented = line.size() > 1 && line[0] == '#' && line[1] != ' ';
    text += (commented ? line.substr(1) : line) + "\n";
    taken += commented ? 1 : 0;
  }
  CHECK(taken == 5);
  Diagnostics found;
  const SourceText source("robot.toml", text);
  const std::optional<Robot> robot = read_robot(source, catalogue(), found);
  REQUIRE_MESSAGE(robot, (found.all().empty() ? "" : render(found.all().front(), &source)));
  REQUIRE(robot->load_cases.size() == 1);
  CHECK(robot->load_cases[0].loads.size() == 2);
  CHECK(ids_of(text).empty());
}

// The hint of the one finding in the demonstration with one text replaced.
std::string hint_of(const std::string& from, const std::string& to) {
  std::string text = testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text();
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  text.replace(at, from.size(), to);
  Diagnostics found;
  static_cast<void>(read_robot(SourceText("robot.toml", text), catalogue(), found));
  REQUIRE(!found.all().empty());
  return found.all().front().hint;
}

TEST_CASE("what is proposed instead would be taken") {
  CHECK(hint_of("38 degC +-3 K", "38 degC +-10 %") == "write for example: +-5 K behind the value");
  // A motor is proposed for a motor, not what is spelt most like it; a protection is not fed from itself.
  CHECK(hint_of("device = \"clamp_motor_12v\"", "device = \"mist_pumq_12v\"").find("mist_pump") == std::string::npos);
  CHECK(hint_of("fed_from = \"main_breaker\"", "fed_from = \"fuse_drive_lefd\"").find("fuse_drive_left\"") ==
        std::string::npos);
}

TEST_CASE("text that cannot be read is explained") {
  check_all({
      {"[robot]", "name = ", "name == ", {"file.syntax"}},
      {"[[output]]", "port = \"OUT1\"", "porrt = \"OUT1\"", {"file.missing-key", "file.unknown-key"}},
      {"[robot]", "invented = true", "invented = \"yes\"", {"file.wrong-type"}},
      {"[owners]", "[battery]", "[[battery]]", {"file.wrong-type"}},
      {"[[output]]", "\"16 AWG\"", "\"16.5 AWG\"", {"robot.bad-wire-size"}},
      {"[[output]]", "\"0.7 m\"", "\"0.7\"", {"file.no-unit"}},
      {"[[output]]", "\"0.7 m\"", "0.7", {"file.wrong-type"}},
      {"[[output]]", "\"0.7 m\"", "\"0.7 parsec\"", {"file.unknown-unit"}},
      {"[[output]]", "\"0.7 m\"", "\"long\"", {"file.no-number"}},
      {"[[output]]", "\"0.35 N*m\"", "\"24 in\"", {"file.wrong-dimension"}},
      {"[[output]]", "\"0.35 N*m\"", "\"-1 N*m\"", {"file.out-of-range"}},
      {"[[output]]", "gear_ratio = 60", "gear_ratio = nan", {"file.out-of-range"}},
      {"[[output]]", "gear_ratio = 60", "gear_ratio = 6O", {"file.syntax"}},
      {"[[output]]", "off = \"coast\"", "off = \"cost\"", {"file.unknown-word"}},
      {"[[output]]", "off = \"coast\"", "off = \"\"", {"file.unknown-word"}},
      {"[[output]]", "port = \"OUT1\"", "port = \"\"", {"file.empty-text"}},
  });
}

TEST_CASE("names that do not resolve or do not fit are refused") {
  check_all({
      {"[[output]]", "\"drive_left\"", "\"drive-left\"", {"robot.bad-name", "robot.unknown-output"}},
      {"[[output]]", "\"mist_pump\"", "\"switch\"", {"robot.bad-name"}},
      {"[[output]]", "\"mist_pump\"", "\"set\"", {"robot.bad-name"}},
      {"[[output]]", "\"mist_pump\"", "\"PB0\"", {"robot.bad-name"}},
      {"[[output]]", "\"mist_pump\"", "\"Belt\"", {"robot.name-taken"}},
      {"[[output]]", "\"mist_pump\"", "\"program\"", {"robot.name-taken"}},
      {"[[output]]", "\"drive_motor_12v\"", "\"drive_motor_21v\"", {"robot.unknown-device"}},
      {"[[output]]", "\"drive_motor_12v\"", "\"limit_switch_no\"", {"robot.wrong-device-kind"}},
      {"[board]", "\"nursery_mega\"", "\"nursery_maga\"", {"robot.unknown-board"}},
      {"[[output]]", "\"OUT1\"", "\"OUT9\"", {"robot.unknown-port"}},
      {"[[output]]", "\"OUT1\"", "\"OUT2\"", {"robot.port-twice"}},
      {"[[output]]", "\"OUT1\"", "\"ENC6\"", {"robot.wrong-port-kind"}},
      {"[[output]]", "fed_by = \"fuse_drive_left\"\n", "", {"robot.unused-protection", "file.missing-key"}},
      {"[[output]]", "fed_by = \"fuse_mist\"", "fed_by = \"fuse_mast\"", {"robot.unknown-protection"}},
      {"[[protection]]",
       "fed_from = \"battery\"",
       "fed_from = \"fuse_lift\"",
       {"robot.feed-cycle", "robot.feed-cycle", "robot.feed-cycle", "robot.feed-cycle", "robot.feed-cycle",
        "robot.feed-cycle", "robot.feed-cycle"}},
      {"[[output]]", "low_switch = \"lift_bottom\"", "low_switch = \"lift_botom\"", {"robot.unknown-input"}},
      {"[[input]]", "of = \"lift\"", "of = \"lfit\"", {"robot.unknown-output"}},
      {"[[input]]", "of = \"lift\"\n", "", {"robot.senses-whom"}},
      {"name = \"tray_present\"", "hand_action", "of = \"lift\"\nhand_action", {"robot.senses-whom"}},
      {"[[output]]",
       "radius = \"8 mm/rev\"\n",
       "",
       {"robot.no-radius", "robot.no-radius", "robot.no-radius", "robot.no-radius", "robot.no-radius"}},
      {"[[output]]", "high = \"300 mm\"", "high = \"0 mm\"", {"robot.empty-travel"}},
  });
}

TEST_CASE("what a robot lacks although it reads") {
  check_all({
      {"[owners]", "wiring = \"Wim\"\n", "", {"robot.no-owner"}},
      {"[[output]]", "owner = \"wiring\"\n", "", {"robot.no-owner"}},
      {"[[output]]", "owner = \"wiring\"", "owner = \"Ulla\"", {"robot.unknown-owner"}},
      {"[[output]]", "owner = \"wiring\"", "owner = \"Wim\"", {}},
      {"[[output]]", "high_switch = \"lift_top\"", "#", {"robot.lift-without-end-switch", "robot.end-switch-unused"}},
      {"[[output]]", "high_switch = \"lift_top\"", "high_switch = \"lift_bottom\"", {"robot.end-switch-disagrees"}},
      {"[[output]]", "high_switch = \"lift_top\"", "high_switch = \"range_ahead\"", {"robot.end-switch-is-none"}},
      {"name = \"clamp_position\"",
       "senses = \"motion\"\nof = \"clamp\"",
       "hand_action = \"by hand\"\nsenses = \"surroundings\"",
       {"robot.end-unguarded", "robot.end-unguarded"}},
      {"[[output]]", "bump_clearance = \"100 mm\"", "#", {"robot.no-clearance"}},
      {"[[output]]", "bump_clearance = \"100 mm\"", "bump_clearance = \"151 mm\"", {"robot.clearance-too-large"}},
      {"[[output]]",
       "travel = { low = \"0 mm\", high = \"300 mm\" }",
       "#",
       {"robot.end-switch-without-travel", "robot.end-switch-without-travel"}},
      {"[[output]]", "visible_sign = \"mist", "positive_means = \"mist", {"robot.cannot-be-seen"}},
      {"[[output]]", "positive_means = \"raises the tray\"", "#", {"robot.no-positive-means"}},
      {"name = \"belt\"", "\"belt_motor_12v\"", "\"motor_24v\"", {"robot.wrong-voltage"}},
      {"[[output]]", "max_level = \"60 %\"", "max_level = 0", {"robot.never-moves"}},
      {"[[output]]", "off = \"brake\"", "off = \"coast\"", {}},
      {"[[input]]", "senses = \"surroundings\"", "#", {"robot.senses-nothing"}},
      {"name = \"range_ahead\"", "hand_action", "#", {"robot.no-hand-action"}},
      {"name = \"belt_encoder\"", "of = \"belt\"", "of = \"warning_lamp\"", {"robot.nothing-to-sense"}},
      {"name = \"left_encoder\"", "\"encoder_500\"", "\"encoder_5000\"", {"robot.encoder-too-fast"}},
      {"name = \"range_ahead\"",
       "\"range_sensor_80cm\"",
       "\"sensor_10v\"",
       {"robot.analogue-over-range", "robot.wrong-voltage"}},
      {"[[output]]", "high = \"90 deg\"", "high = \"130 deg\"", {"robot.sensor-range-short"}},
      {"[[protection]]", "fed_from = \"main_breaker\"", "fed_from = \"battery\"", {"robot.no-disconnect"}},
      {"[board]", "fed_by = \"resettable_controller\"", "fed_by = \"main_breaker\"", {"robot.unused-protection"}},
  });
}

TEST_CASE("a load that can fall is told") {
  std::string text = spoilt("[[output]]", "off = \"brake\"", "off = \"coast\"");
  const std::size_t at = text.find("self_locking = true");
  text.replace(at, 19, "self_locking = false");
  CHECK(ids_of(text) == std::vector<std::string>{"robot.load-can-fall"});
}

TEST_CASE("points of all kinds can be drawn, and two bus devices share a port but no address") {
  const std::string base = points_text();
  const std::string more = R"(
[[output]]
name = "gate"
kind = "servo"
device = "small_servo_5v"
port = "SERVO1"
wire = { size = "0.25 mm2", length = "0.4 m" }
positive_means = "opens"
owner = "wiring"
[[output]]
name = "deck_lights"
kind = "light"
device = "pixel_strip_8"
port = "LIGHT1"
wire = { size = "24 AWG", length = "0.4 m" }
visible_sign = "the strip is lit"
owner = "wiring"
[[input]]
name = "tilt"
kind = "bus device"
device = "tilt_sensor_bus"
port = "BUS1"
owner = "wiring"
)";
  CHECK(ids_of(base + more).empty());
  const std::string twin =
      "[[input]]\nname = \"tilt_2\"\nkind = \"bus device\"\ndevice = \"tilt_sensor_bus\"\n"
      "port = \"BUS1\"\nowner = \"wiring\"\n";
  CHECK(ids_of(base + more + twin) == std::vector<std::string>{"robot.bus-address-twice"});
}

TEST_CASE("a robot has at most 64 points") {
  std::string text = points_text();
  for (int i = 0; i < 60; ++i) {
    text += "[[input]]\nname = \"tilt_" + std::to_string(i) +
            "\"\nkind = \"bus device\"\ndevice = \"tilt_sensor_bus\"\nport = \"BUS1\"\nowner = \"wiring\"\n";
  }
  const std::vector<std::string> ids = ids_of(text);
  CHECK(std::count(ids.begin(), ids.end(), "robot.too-many-points") == 1);
}

TEST_CASE("texts beyond the limits are refused, and those at the limits do no harm") {
  CHECK(ids_of(std::string(600 * 1024, '#')) == std::vector<std::string>{"file.too-large"});
  CHECK(ids_of("a = \"" + std::string(2000, 'x') + "\"\n") == std::vector<std::string>{"file.too-large"});
  const std::string deep_array = "a = " + std::string(490, '[') + std::string(490, ']') + "\n";
  CHECK(ids_of(deep_array) == std::vector<std::string>{"file.syntax"});
  std::string dotted = "a";
  while (dotted.size() < 950) dotted += ".a";
  CHECK_FALSE(ids_of(dotted + " = 1\n").empty());
  CHECK_FALSE(ids_of("[" + dotted + "]\n" + dotted + " = 1\n").empty());
  CHECK(ids_of("[# no key\n") == std::vector<std::string>{"file.syntax"});   // the library asserted here
  CHECK(ids_of("\ufefe\u0001") == std::vector<std::string>{"file.syntax"});  // and was undefined here
  CHECK_FALSE(ids_of("").empty());
  CHECK_FALSE(ids_of("\xff\xfe\x00").empty());
}
