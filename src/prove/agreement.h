// The one table that matters: drawn, coded and found, side by side, with the verdict and who settles it.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "prove/finding.h"
#include "robot/robot.h"

namespace ringout::prove {

// One entry of the point table as read back from the controller.
struct CodedEntry {
  std::uint8_t port = 0;  // index within its kind
  bool reversed = false;
};

// A point as the controller carries it: the name and kind the program was built against, and its table entry.
struct CodedPoint {
  std::string name;
  robot::PointKind kind = robot::PointKind::bridge_motor;
  std::optional<CodedEntry> entry;  // empty: no valid table
};

struct Coded {
  std::vector<CodedPoint> points;  // in the program's order
};

enum class Verdict { proved, disagrees, silent, untested, stale };
[[nodiscard]] const char* name_of(Verdict verdict);

struct AgreementRow {
  std::string point;
  robot::PointKind kind = robot::PointKind::bridge_motor;
  std::string drawn;  // "OUT4" or "OUT4 reversed"
  std::string coded;  // the same, "not in the program", "no table"
  std::string found;  // the same, "no answer", "not tested"
  Verdict verdict = Verdict::untested;
  double confidence = 0.0;
  std::optional<robot::Discipline> settled_by;  // empty where nothing is to be settled
  std::string person;                           // owner of that discipline in this robot file; may be empty
  std::string what_to_do;                       // one sentence; empty for proved
  std::string evidence;
};

struct Agreement {
  std::vector<AgreementRow> rows;    // robot file's order, outputs first; then names only the program knows
  [[nodiscard]] bool ready() const;  // every row proved
};

// `touched` names points whose wiring was changed after their finding: those are stale. `coded` may be absent (paper
// work, no link): then drawn and found are compared alone and no row can be proved better than untested in code.
[[nodiscard]] Agreement agree(const robot::Robot& robot, const std::optional<Coded>& coded,
                              std::span<const Finding> findings, std::span<const std::string> touched = {});

// What to write in the robot file so that drawn becomes found: one line each.
struct Correction {
  std::string point;
  std::string key;      // "port" or "reversed"
  std::string value;    // as TOML text: "\"OUT6\"", "true"
  std::string line;     // key = value, ready to paste
  std::string instead;  // what to rewire to keep the drawing as it is
};
[[nodiscard]] std::vector<Correction> corrected_wiring(const robot::Robot& robot, std::span<const Finding> findings);

}  // namespace ringout::prove
