#include "bind/points_hpp.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>

#include "robot/fingerprint.h"
#include "robot/resolve.h"
#include "wire/protocol.h"

namespace ringout::bind {
namespace {

static_assert(robot::most_points == wire::max_points && robot::longest_name <= wire::max_name_bytes);

const char* type_of(robot::PointKind kind) {
  switch (kind) {
    case robot::PointKind::bridge_motor:
      return "Motor";
    case robot::PointKind::servo:
      return "Servo";
    case robot::PointKind::on_off:
      return "OnOff";
    case robot::PointKind::light:
      return "Light";
    case robot::PointKind::switch_input:
      return "Switch";
    case robot::PointKind::analogue:
      return "Analogue";
    case robot::PointKind::encoder:
      return "Encoder";
    case robot::PointKind::bus_device:
      return "BusDevice";
  }
  return "";
}

const char* enumerator_of(robot::PointKind kind) {
  switch (kind) {
    case robot::PointKind::bridge_motor:
      return "bridge_motor";
    case robot::PointKind::servo:
      return "servo";
    case robot::PointKind::on_off:
      return "on_off";
    case robot::PointKind::light:
      return "light";
    case robot::PointKind::switch_input:
      return "switch_input";
    case robot::PointKind::analogue:
      return "analogue";
    case robot::PointKind::encoder:
      return "encoder";
    case robot::PointKind::bus_device:
      return "bus_device";
  }
  return "";
}

struct NamedKind {
  std::string_view name;
  robot::PointKind kind;
  std::string remark;
};

std::string one_line(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20U || c == '\\'; }, ' ');
  return text;
}

std::vector<NamedKind> points_of(const robot::Robot& robot) {
  std::vector<NamedKind> points;
  for (const auto& o : robot.outputs) {
    points.push_back({o.name, o.kind, o.positive_means.empty() ? "" : one_line("positive: " + o.positive_means)});
  }
  for (const auto& i : robot.inputs) {
    points.push_back({i.name, i.kind, i.senses_output.empty() ? "" : one_line("watches " + i.senses_output)});
  }
  return points;
}

}  // namespace

Result<void> check_names(const robot::Robot& robot) {
  const auto points = points_of(robot);
  if (points.size() > robot::most_points) {
    return failure(
        ErrorKind::bad_input, "bind.too-many-points",
        fmt::format("{} has {} points; a controller carries {}", robot.name, points.size(), robot::most_points),
        "split the robot into two, each with a controller of its own");
  }
  std::set<std::string_view> seen;
  for (const auto& p : points) {
    if (const std::string fault = robot::fault_of_point_name(std::string(p.name)); !fault.empty()) {
      return failure(ErrorKind::bad_input, "bind.name-not-usable",
                     fmt::format("\"{}\" cannot be a name in a program: {}", p.name, fault),
                     "give it another name in the robot file");
    }
    if (!seen.insert(p.name).second) {
      return failure(ErrorKind::bad_input, "bind.name-twice", fmt::format("two points are called {}", p.name),
                     "give one of them another name in the robot file");
    }
  }
  return {};
}

Result<std::string> points_hpp(const robot::Robot& robot) {
  if (auto names = check_names(robot); !names) return tl::unexpected(names.error());
  const auto points = points_of(robot);
  std::string text = fmt::format(
      "// Points of \"{}\", written by ringout bind from the robot file. Do not edit: change the robot file and bind "
      "again.\n#pragma once\n#include \"agent/program.hpp\"\nnamespace points {{\n",
      one_line(robot.name));
  for (std::size_t i = 0; i < points.size(); ++i) {
    text += fmt::format("constexpr ringout::{} {}{{{}}};{}{}\n", type_of(points[i].kind), points[i].name, i,
                        points[i].remark.empty() ? "" : "  // ", points[i].remark);
  }
  text += fmt::format(
      "}}\n#ifdef RINGOUT_DEFINE_POINTS\nnamespace ringout {{\n"
      "extern const ProgramPoints program_points = {{{}, 0x{:08X}UL}};  // number of points, program fingerprint\n"
      "extern const PointName point_names[] RINGOUT_IN_FLASH = {{\n",
      points.size(), robot::program_fingerprint(robot));
  for (const auto& p : points) text += fmt::format("    {{PointKind::{}, \"{}\"}},\n", enumerator_of(p.kind), p.name);
  text += "};\n}\n#endif\n";
  return text;
}

}  // namespace ringout::bind
