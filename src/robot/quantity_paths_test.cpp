// The reader writes paths of tolerances, and quantity_at finds what they mean: tried with every figure of the
// demonstration and of the catalogue. A tolerance is put behind all of them, and taken away where it is refused.

#include "robot/quantity_paths.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <set>

#include "robot/robot_file.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

constexpr double share = 1e-3;

// A figure in a text: where it begins and ends there, and whether it stands in quotes.
struct Figure {
  std::size_t begin = 0;
  std::size_t end = 0;
  std::size_t line = 0;
  std::size_t column = 0;  // 1-based, in the text with tolerances
  bool quoted = false;
  bool tolerated = true;
};

std::vector<Figure> figures_in(const std::string& text) {
  std::vector<Figure> out;
  std::size_t line = 1;
  for (std::size_t i = 0; i + 2 < text.size(); ++i) {
    if (text[i] == '\n') ++line;
    if (text[i] == '#') {
      while (text[i + 1] != '\n') ++i;
      continue;
    }
    if (text[i] != '=' || text[i + 1] != ' ') continue;
    Figure f{.begin = i + 2, .end = 0, .line = line, .column = 0, .quoted = text[i + 2] == '"', .tolerated = true};
    const std::size_t number = f.begin + (f.quoted ? 1 : 0);
    if (std::strchr("-0123456789", text[number]) == nullptr) continue;
    f.end = f.quoted ? text.find('"', number) + 1 : text.find_first_of(" ,\n}", number);
    out.push_back(f);
    i = f.end - 1;
  }
  return out;
}

// A thousandth of the value, of a fraction's points; a tenth of a kelvin.
std::string tolerated(const std::string& text, std::vector<Figure>& figures) {
  std::string out;
  std::size_t done = 0;
  for (Figure& f : figures) {
    out += text.substr(done, f.begin - done);
    f.column = out.size() - (out.rfind('\n') + 1) + 1;
    std::string value = text.substr(f.begin, f.end - f.begin);
    if (f.tolerated) {
      if (f.quoted) value = value.substr(1, value.size() - 2);
      value = '"' + value.substr(0, value.find(" +-")) +
              (value.find("degC") != std::string::npos ? " +-0.1 K" : " +-0.1 %") + '"';
    }
    out += value;
    done = f.end;
  }
  return out + text.substr(done);
}

// The text with a tolerance wherever one is taken: read(text, found) says where not.
template <class Read>
std::string wherever_taken(const std::string& text, const Read& read) {
  std::vector<Figure> figures = figures_in(text);
  for (int round = 0; round < 6; ++round) {
    const std::string now = tolerated(text, figures);
    Diagnostics found;
    read(SourceText("tolerated.toml", now), found);
    if (!found.has_errors()) return now;
    for (const Diagnostic& d : found.all()) {
      for (Figure& f : figures) {
        const bool here = static_cast<int>(f.line) == d.span.line && static_cast<int>(f.column) == d.span.column;
        if (here) f.tolerated = false;
      }
    }
  }
  FAIL("no end of errors");
  return text;
}

void check_width(Robot& robot, const Tolerance& t) {
  CAPTURE(t.path);
  const double* figure = quantity_at(robot, t.path);
  REQUIRE(figure != nullptr);
  const std::string key = t.path.substr(t.path.rfind('.') + 1);
  const bool temperature = key == "ambient";
  const bool points = t.path.find("efficiency") != std::string::npos || t.path.find("charge") != std::string::npos;
  const double expected = temperature ? 0.1 : points ? share : share * std::abs(*figure);
  CHECK(t.half_width == doctest::Approx(expected).epsilon(1e-9));
  CHECK(t.place.line > 0);
}

}  // namespace

TEST_CASE("each tolerance of a robot file leads back to the figure it stands behind") {
  const Catalogue catalogue = testing::shipped_catalogue(RINGOUT_SOURCE_DIR);
  const std::string text =
      wherever_taken(testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text(),
                     [&](const SourceText& source, Diagnostics& found) { (void)read_robot(source, catalogue, found); });
  Robot robot = testing::robot_from(RINGOUT_SOURCE_DIR, SourceText("tolerated.toml", text));
  std::set<std::string> paths;
  for (const Tolerance& t : robot.tolerances) {
    CHECK(paths.insert(t.path).second);
    if (t.file == "tolerated.toml") check_width(robot, t);
    CHECK(quantity_at(robot, t.path) != nullptr);
  }
  CHECK(paths.size() > 90);
  for (const char* path :
       {"output.lift.mechanism.radius", "duty_cycle.one_tray_out_and_back.step.0.loads.1.speed", "robot.ambient",
        "battery.state_of_charge", "battery.wire.length", "protection.fuse_lift.wire.length", "board.wire.length",
        "input.lift_top.wire.length", "output.lift.mechanism.travel.high", "output.lift.mechanism.asked_speed",
        "load_case.lift_while_driving_off.ambient", "load_case.down_the_aisle.loads.0.speed"}) {
    CAPTURE(path);
    CHECK(paths.count(path) == 1);
  }
  CHECK(paths.count("output.clamp.max_level") == 0);
}

TEST_CASE("each tolerance of a catalogue leads back to the figure it stands behind") {
  Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  std::size_t tolerances = 0;
  for (const SourceText& file : testing::catalogue_texts(RINGOUT_SOURCE_DIR)) {
    const std::string text = wherever_taken(
        file.text(), [](const SourceText& source, Diagnostics& found) { (void)read_catalogue({source}, found); });
    Diagnostics found;
    robot.catalogue = read_catalogue({SourceText("tolerated.toml", text)}, found);
    for (const Device& d : robot.catalogue.devices) {
      tolerances += d.tolerances.size();
      for (const Tolerance& t : d.tolerances) check_width(robot, t);
    }
    if (robot.catalogue.boards.empty()) continue;
    robot.board = robot.catalogue.boards[0];
    tolerances += robot.board.tolerances.size();
    for (const Tolerance& t : robot.board.tolerances) check_width(robot, t);
  }
  CHECK(tolerances > 100);
}

TEST_CASE("a path that leads nowhere gives nothing") {
  Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  for (const char* path : {"", ".", "device", "device.", "device.no_such.current", "device.drive_motor_12v",
                           "device.drive_motor_12v.", "device.drive_motor_12v.heat",
                           "device.agm_12v_7ah.internal_at.99.internal", "device.agm_12v_7ah.internal_at.-1.internal",
                           "device.agm_12v_7ah.internal_at.1", "board.port.OUT9.current_limit", "output.lift.mechanism",
                           "output.warning_lamp.mechanism.friction", "load_case.x.ambient", "wire.lift.length"}) {
    CAPTURE(path);
    CHECK(quantity_at(robot, path) == nullptr);
  }
}

TEST_CASE("a motor given by its constants has the row that follows from them") {
  Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto& clamp = *robot.device_of("clamp_motor_12v").as<MotorDevice>();
  REQUIRE(clamp.constants.has_value());
  CHECK(clamp.stall_current.si == doctest::Approx(2.4));
  CHECK(clamp.free_speed.in(rpm(1)) == doctest::Approx(6004.5).epsilon(1e-4));  // (12 - 0.12*5)/0.01813 rad/s
  *quantity_at(robot, "device.clamp_motor_12v.terminal_resistance") = 6.0;
  for (Device& d : robot.catalogue.devices) {
    if (d.name == "clamp_motor_12v") row_from_constants(std::get<MotorDevice>(d.spec));
  }
  CHECK(clamp.stall_current.si == doctest::Approx(2.0));
  CHECK(clamp.stall_torque.si == doctest::Approx(0.03626));
}
