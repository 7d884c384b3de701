#include "cli/measured_file.h"

#include <fmt/format.h>

#define TOML_EXCEPTIONS 0
#include <toml++/toml.h>

#include <sstream>

namespace ringout::cli {
namespace {

constexpr const char* hint = "the tool writes this file: put the last good copy back, or remove it and read again";

tl::unexpected<Error> wrong(const std::string& path, const toml::source_position& at, const std::string& what) {
  return failure(ErrorKind::bad_input, "measured.step", fmt::format("{}:{}:{}: {}", path, at.line, at.column, what),
                 hint);
}

Result<cold::Reading> reading_of(const std::string& path, const toml::table& table) {
  cold::Reading reading;
  const toml::array* values = table["readings"].as_array();
  if (values == nullptr || values->empty()) return wrong(path, table.source().begin, "a step needs its readings");
  for (const toml::node& node : *values) {
    const auto value = node.value<double>();
    if (!value || !(*value >= 0.0))
      return wrong(path, node.source().begin, "a reading is a number that is not below zero");
    reading.values.push_back(*value);
  }
  reading.date = table["date"].value_or(std::string());
  reading.by = table["by"].value_or(std::string());
  return reading;
}

}  // namespace

Result<cold::Readings> read_measured(const std::string& path, const std::string& text) {
  const toml::parse_result parsed = toml::parse(text);
  if (!parsed) {
    const auto& error = parsed.error();
    return failure(ErrorKind::bad_input, "measured.syntax",
                   fmt::format("{}:{}:{}: from here on it is no TOML", path, error.source().begin.line,
                               error.source().begin.column),
                   hint);
  }
  cold::Readings readings;
  const toml::table& root = parsed.table();
  const toml::node* node = root.get("cold");
  if (node == nullptr) return readings;
  const toml::array* steps = node->as_array();
  if (steps == nullptr) return wrong(path, node->source().begin, "cold is a list of steps");
  for (const toml::node& entry : *steps) {
    const toml::table* table = entry.as_table();
    const auto id = table == nullptr ? std::nullopt : (*table)["step"].value<std::string>();
    if (!id) return wrong(path, entry.source().begin, "a step needs its name");
    auto reading = reading_of(path, *table);
    if (!reading) return tl::unexpected(reading.error());
    readings[*id] = std::move(*reading);
  }
  return readings;
}

std::string measured_text(const std::string& before, const cold::Readings& readings) {
  toml::table root;
  if (toml::parse_result parsed = toml::parse(before)) root = std::move(parsed).table();
  root.erase("cold");
  std::ostringstream out;
  out << "# Measured values of the robot drawn beside this file; written by ringout. Ohms, at first power amperes.\n";
  if (!root.empty()) out << "\n" << root << "\n";
  // Written here: the library prints 0.2 with all the digits of a double.
  for (const auto& [id, reading] : readings) {
    out << "\n[[cold]]\nstep = " << toml::value<std::string>(id)
        << fmt::format("\nreadings = [{}]\n", fmt::join(reading.values, ", "))
        << "date = " << toml::value<std::string>(reading.date) << "\nby = " << toml::value<std::string>(reading.by)
        << "\n";
  }
  return out.str();
}

}  // namespace ringout::cli
