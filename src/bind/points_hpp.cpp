#include "bind/points_hpp.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>
#include <string_view>

#include "robot/fingerprint.h"

namespace ringout::bind {
namespace {

// Words that C++14 keeps for itself (ISO/IEC 14882:2014, [lex.key]), those in small letters.
constexpr std::array<std::string_view, 84> language_words = {
    "alignas",   "alignof",  "and",      "and_eq",       "asm",           "auto",         "bitand",
    "bitor",     "bool",     "break",    "case",         "catch",         "char",         "char16_t",
    "char32_t",  "class",    "compl",    "const",        "constexpr",     "continue",     "const_cast",
    "decltype",  "default",  "delete",   "do",           "double",        "dynamic_cast", "else",
    "enum",      "explicit", "export",   "extern",       "false",         "float",        "for",
    "friend",    "goto",     "if",       "inline",       "int",           "long",         "mutable",
    "namespace", "new",      "noexcept", "not",          "not_eq",        "nullptr",      "operator",
    "or",        "or_eq",    "private",  "protected",    "public",        "register",     "return",
    "short",     "signed",   "sizeof",   "static",       "static_assert", "static_cast",  "struct",
    "switch",    "template", "this",     "thread_local", "throw",         "true",         "try",
    "typedef",   "typeid",   "typename", "union",        "unsigned",      "using",        "virtual",
    "void",      "volatile", "wchar_t",  "while",        "xor",           "xor_eq",       "reinterpret_cast"};

bool is_identifier(std::string_view name) {
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_'; };
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  if (name.empty() || !letter(name.front()) || name.front() == '_' || name.find("__") != std::string_view::npos) {
    return false;
  }
  return std::all_of(name.begin(), name.end(), [&](char c) { return letter(c) || digit(c); }) &&
         std::find(language_words.begin(), language_words.end(), name) == language_words.end();
}

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
  if (points.size() > most_points) {
    return failure(ErrorKind::bad_input, "bind.too-many-points",
                   fmt::format("{} has {} points; a controller carries {}", robot.name, points.size(), most_points),
                   "split the robot into two, each with a controller of its own");
  }
  std::set<std::string_view> seen;
  for (const auto& p : points) {
    if (p.name.size() > longest_name) {
      return failure(ErrorKind::bad_input, "bind.name-too-long",
                     fmt::format("the name {} has {} letters; a program knows points by at most {}", p.name,
                                 p.name.size(), longest_name),
                     "shorten it in the robot file");
    }
    if (!is_identifier(p.name)) {
      return failure(ErrorKind::bad_input, "bind.name-not-usable",
                     fmt::format("\"{}\" cannot be a name in a C++ program", p.name),
                     "use letters, digits and single underscores, a letter first, and no word of the language");
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
