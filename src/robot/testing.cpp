#include "robot/testing.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "base/check.h"
#include "base/diagnostic.h"
#include "robot/robot_file.h"

namespace ringout::robot::testing {

namespace {

void require_none(const Diagnostics& found) {
  if (!found.has_errors()) return;
  for (const Diagnostic& d : found.all()) std::fputs(render(d, nullptr).c_str(), stderr);
  RINGOUT_CHECK(!found.has_errors());
}

// Everything that hangs on the board once more, with a number behind the names.
void add_copy(const Robot& of, int number, Robot& to) {
  const std::string tail = "_" + std::to_string(number);
  for (Protection p : of.protections) {
    if (p.fed_from == "battery" || p.name == of.board_fed_by) continue;
    p.name += tail;
    to.protections.push_back(p);
  }
  for (BoardPort p : of.board.ports) {
    p.name += tail;
    to.board.ports.push_back(p);
  }
  for (Output o : of.outputs) {
    o.name += tail;
    o.port += tail;
    if (!o.fed_by.empty()) o.fed_by += tail;
    if (o.low_switch) *o.low_switch += tail;
    if (o.high_switch) *o.high_switch += tail;
    to.outputs.push_back(o);
  }
  for (Input i : of.inputs) {
    i.name += tail;
    i.port += tail;
    if (!i.senses_output.empty()) i.senses_output += tail;
    to.inputs.push_back(i);
  }
}

}  // namespace

SourceText load_text(const std::string& root, const std::string& path) {
  std::ifstream in(std::filesystem::path(root) / path, std::ios::binary);
  RINGOUT_CHECK(in.good());
  return {path, std::string(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>())};
}

std::vector<SourceText> catalogue_texts(const std::string& root) {
  std::vector<SourceText> out;
  for (const char* folder : {"data/boards", "data/devices"}) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(std::filesystem::path(root) / folder)) {
      if (entry.path().extension() == ".toml") names.push_back(entry.path().filename().string());
    }
    std::sort(names.begin(), names.end());
    for (const std::string& name : names) out.push_back(load_text(root, std::string(folder) + "/" + name));
  }
  return out;
}

Catalogue shipped_catalogue(const std::string& root) {
  Diagnostics found;
  Catalogue catalogue = read_catalogue(catalogue_texts(root), found);
  require_none(found);
  return catalogue;
}

Output servo_on(const Robot& demonstration, const std::string& protection) {
  Output servo = demonstration.outputs[0];
  servo.name = "tilt";
  servo.kind = PointKind::servo;
  servo.device = "small_servo_5v";
  servo.port = "SERVO1";
  servo.fed_by = protection;
  servo.mechanism.reset();
  return servo;
}

Robot robot_from(const std::string& root, const SourceText& text) {
  Diagnostics found;
  const std::optional<Robot> robot = read_robot(text, shipped_catalogue(root), found);
  require_none(found);
  RINGOUT_CHECK(robot.has_value());
  return *robot;
}

Robot demonstration_robot(const std::string& root) {
  return robot_from(root, load_text(root, "examples/tray_carrier/robot.toml"));
}

Robot repeated(const Robot& robot, std::size_t points) {
  Robot out = robot;
  for (int n = 1; out.outputs.size() + out.inputs.size() < points; ++n) add_copy(robot, n, out);
  return out;
}

}  // namespace ringout::robot::testing
