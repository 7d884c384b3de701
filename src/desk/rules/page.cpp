#include <algorithm>

#include "desk/rules/judge.h"

namespace ringout::desk {

namespace {

const char* word_of(Home home) {
  switch (home) {
    case Home::reading:
      return "reading";
    case Home::references:
      return "drawing";
    case Home::desk:
      return "figures";
  }
  return "";
}

}  // namespace

std::string rules_page() {
  std::string out = R"(# Wiring rules

`ringout check` holds a robot against these rules. This page is written from the table that the program uses; a test
compares the two.

Each finding has the rule's id, a severity, its place in the robot file, what was found with its figures, what to do, and
the discipline that can settle it.

- *error*: drawn so it will not work, or it is unsafe, or it will destroy something, or it can never be proved. Do not
  connect the battery before it is settled.
- *warning*: it may not work, may be unsafe or may destroy something, or a figure is probably wrong. Somebody must judge it.
- *note*: worth knowing; nothing need be changed.

Severities are those of a small robot among people who know it; where more is at stake, treat a note as a warning.

*Judged on*: **reading**, where the file cannot be used without; **drawing**, what is drawn, without any figure;
**figures**, what the desk check has worked out.

*Limit from*: where a rule holds a robot against a limit that stands neither in the robot file nor in a catalogue, whose
it is. *Common practice*: what many in the trade hold to, from memory, without one source. *Our choice*: a round figure
chosen here; nobody else's rule stands behind it. *Read*: seen in a copy of the named page. Empty: the files' own figures
are compared.

A robot without findings is not for that a safe robot. The rules know what is in the file, not what is in the machine;
local rules and licensed practice come first.

)";
  const auto& rules = all_rules();
  out += fmt::format("There are {} rules.\n\n", rules.size());
  out +=
      "| id | | what is found | why | what to do | settled by | judged on | limit from "
      "|\n|---|---|---|---|---|---|---|---|\n";
  for (const Rule& r : rules) {
    out += fmt::format("| `{}` | {} | {} | {} | {} | {} | {} | {} |\n", r.id, name_of(r.severity), r.title, r.reason,
                       r.remedy, robot::name_of(r.discipline), word_of(r.home), r.limit);
  }
  return out;
}

}  // namespace ringout::desk
