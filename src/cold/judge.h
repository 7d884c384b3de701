// What readings mean: each against its step, and together, since exchanged leads show in two places.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/result.h"
#include "cold/sheet.h"

namespace ringout::cold {

constexpr double open_from = 100e3;  // ohms: more is open, whatever the meter shows

enum class Verdict {
  not_read,
  good,
  open,
  shorted,
  too_low,
  too_high,   // a bad crimp, a loose terminal
  exchanged,  // two loops fit one another, and neither its own, or a lead is open from its own port
  reversed,   // + and - of one cable exchanged
  inverted,   // a switch whose other contact is wired
  more_readings,
};
[[nodiscard]] const char* name_of(Verdict verdict);

struct Reading {
  std::vector<double> values;  // ohms (open_circuit for an open one), amperes at first power
  std::string date;
  std::string by;
};
using Readings = std::map<std::string, Reading>;  // by the step's id

struct Judgement {
  const Step* step = nullptr;  // of the sheet
  Verdict verdict = Verdict::not_read;
  double judged = 0.0;      // what was compared: leads deducted, lower quartile
  std::string other;        // exchanged with this output or input
  std::string explanation;  // what it usually means, and what to do; empty where good
};

// One for each step, in order; the power steps last.
[[nodiscard]] std::vector<Judgement> judged(const Sheet& sheet, const Readings& readings);
[[nodiscard]] bool is_fault(Verdict verdict);

// A list of readings that a person filled in: "ID = 1.5 1.7 2.2", or a line of a table whose first column is the ID and
// whose last is the readings ("," or ";" between columns); "#" begins a comment; "open" or "OL" for no continuity; a
// unit (ohm, kohm, Mohm, mohm, A, mA) may follow, ohm or A otherwise. All that is wrong comes in one message (of
// more than ten faults their number).
// Error: bad_input "cold.readings".
[[nodiscard]] Result<Readings> read_list(const std::string& name, const std::string& text, const Sheet& sheet);
// One answer typed at the terminal: the part behind the "=".
[[nodiscard]] Result<std::vector<double>> read_values(const std::string& text, StepKind kind);

}  // namespace ringout::cold
