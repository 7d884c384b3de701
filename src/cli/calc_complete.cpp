// What a question lacks, all of it at once, by the kinds of rows that data sheets have.
#include <fmt/format.h>

#include <algorithm>

#include "base/check.h"
#include "cli/calc.h"

namespace ringout::cli {
namespace {

using Names = std::set<std::string>;

std::string option_text(const Subject& subject, const std::string& name) {
  const auto asked =
      std::find_if(subject.asked.begin(), subject.asked.end(), [&](const Asked& a) { return a.name == name; });
  RINGOUT_CHECK(asked != subject.asked.end());
  const bool quantity = asked->words.empty() && !asked->free_text;
  return fmt::format("--{} ({})", name, quantity ? expected_form(asked->measure) : asked->meaning);
}

std::string first_given(const Row& row, const Names& named) {
  for (const auto& part : row.parts) {
    for (const std::string& name : part) {
      if (named.count(name) != 0) return name;
    }
  }
  return "";
}

// One line for each part that is not given.
std::string missing_of(const Subject& subject, const Row& row, const Names& named) {
  std::string lines;
  for (const auto& part : row.parts) {
    if (std::any_of(part.begin(), part.end(), [&](const std::string& name) { return named.count(name) != 0; }))
      continue;
    std::string line;
    for (const std::string& name : part) line += (line.empty() ? "" : " or ") + option_text(subject, name);
    lines += "\n  " + line;
  }
  return lines;
}

}  // namespace

Result<void> check_complete(const Subject& subject, const Names& named) {
  std::vector<const Row*> begun;
  for (const Row& row : subject.rows) {
    if (!first_given(row, named).empty()) begun.push_back(&row);
  }
  if (begun.size() > 1) {
    return failure(ErrorKind::bad_input, "calc.two-rows",
                   fmt::format("--{} belongs to {}, --{} to {}", first_given(*begun[0], named), begun[0]->name,
                               first_given(*begun[1], named), begun[1]->name),
                   "a data sheet has one or the other: leave out the options of one of them");
  }
  std::string needed;
  for (const Asked& asked : subject.asked) {
    if (asked.need == Need::required && named.count(asked.name) == 0) {
      needed += "\n  " + option_text(subject, asked.name);
    }
  }
  if (begun.size() == 1 || subject.rows.size() == 1) {
    needed += missing_of(subject, begun.empty() ? subject.rows.front() : *begun.front(), named);
  } else {
    for (const Row& row : subject.rows) {
      const char* before = &row == &subject.rows.front() ? "either" : "or";
      needed += fmt::format("\n{} of {}{}", before, row.name, missing_of(subject, row, named));
    }
  }
  if (needed.empty()) return {};
  return failure(ErrorKind::bad_input, "calc.missing", fmt::format("calc {} needs{}", subject.name, needed),
                 "for example: " + subject.example);
}

}  // namespace ringout::cli
