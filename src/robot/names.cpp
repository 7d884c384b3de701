#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "robot/resolve.h"

namespace ringout::robot {

namespace {

// C++20's keywords and alternative tokens, and what is a macro or a keyword in the C headers of small controllers.
constexpr std::array<std::string_view, 103> keywords{
    "alignas",     "alignof",      "and",       "and_eq",   "asm",       "auto",     "bitand",       "bitor",
    "bool",        "break",        "case",      "catch",    "char",      "char16_t", "char32_t",     "char8_t",
    "class",       "co_await",     "co_return", "co_yield", "compl",     "concept",  "const",        "const_cast",
    "consteval",   "constexpr",    "constinit", "continue", "decltype",  "default",  "delete",       "do",
    "double",      "dynamic_cast", "else",      "enum",     "explicit",  "export",   "extern",       "false",
    "float",       "for",          "friend",    "goto",     "if",        "inline",   "int",          "long",
    "main",        "mutable",      "namespace", "new",      "noexcept",  "not",      "not_eq",       "nullptr",
    "operator",    "or",           "or_eq",     "private",  "protected", "public",   "register",     "reinterpret_cast",
    "requires",    "return",       "ringout",   "short",    "signed",    "sizeof",   "static",       "static_assert",
    "static_cast", "std",          "struct",    "switch",   "template",  "this",     "thread_local", "throw",
    "true",        "try",          "typedef",   "typeid",   "typename",  "union",    "unsigned",     "using",
    "virtual",     "void",         "volatile",  "wchar_t",  "while",     "xor",      "xor_eq",       "EOF",
    "NULL",        "NAN",          "INFINITY",  "errno",    "assert",    "linux",    "unix"};

// What agent/program.hpp gives to a program: with both namespaces in use, a point of that name would be ambiguous.
constexpr std::array<std::string_view, 28> program_words = {
    "Analogue",
    "BusDevice",
    "Condition",
    "Encoder",
    "Light",
    "Motor",
    "OnOff",
    "PointKind",
    "PointName",
    "ProgramPoints",
    "Servo",
    "Switch",
    "dwell",
    "longest_point_name",
    "longest_step_name",
    "off",
    "on",
    "outputs_off",
    "point_names",
    "points",
    "pressed",
    "program_points",
    "read",
    "released",
    "runner",
    "set",
    "step",
    "until",
};

bool letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool digit(char c) {
  return c >= '0' && c <= '9';
}

}  // namespace

std::string fault_of_name(const std::string& name) {
  if (name.empty()) return "it is empty";
  if (name.size() > longest_name) return fmt::format("it is longer than {} characters", longest_name);
  if (!letter(name.front())) return "it does not begin with a letter";
  if (!std::all_of(name.begin(), name.end(), [](char c) { return letter(c) || digit(c) || c == '_'; })) {
    return "it has a character that C++ does not allow in names";
  }
  if (name.find("__") != std::string::npos) return "two underscores in a row are reserved in C++";
  if (std::find(keywords.begin(), keywords.end(), name) != keywords.end()) return "it is a word of C++ itself";
  return {};
}

std::string fault_of_point_name(const std::string& name) {
  if (std::string fault = fault_of_name(name); !fault.empty()) return fault;
  if (std::find(program_words.begin(), program_words.end(), name) != program_words.end()) {
    return "a program uses this word for something else";
  }
  const bool has_small = std::any_of(name.begin(), name.end(), [](char c) { return c >= 'a' && c <= 'z'; });
  return has_small ? std::string() : "without a small letter it may be a register of the chip";
}

}  // namespace ringout::robot
