// The rows that a robot's fault model is made with: how likely each way of failing is at the start, how long each check
// takes and how often it errs, how long each repair takes. Text files (data/faults/, docs/faults.md is the reference);
// each row says where its figure comes from. A team's own files are read after them and replace rows.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "base/source_text.h"
#include "find/robot/kinds.h"

namespace ringout::faults {

struct FaultRow {
  PartKind part = PartKind::battery;
  Mode mode = Mode::open;
  std::string device;  // only for parts of this catalogue device or board; empty: all
  std::string point;   // only for this point's or protection's part; empty: all
  double prior = 0.0;  // probability that a part is so when a small robot gives trouble, [0, 0.5]; 0: left out
  std::string source;  // published work, or "common practice, no source"
  Span at;
  std::string file;
};

struct CheckRow {
  CheckKind check = CheckKind::link;
  double minutes = 0.0;      // without opening anything
  double overlooks = 0.0;    // P(seems as it should be | a fault that it shows), [0, 0.5]
  double false_alarm = 0.0;  // P(seems wrong | nothing that it shows), [0, 0.5]
  std::string source;
  Span at;
  std::string file;
};

struct RepairRow {
  RepairKind repair = RepairKind::renew;
  PartKind part = PartKind::battery;
  double minutes = 0.0;   // without opening anything
  double succeeds = 1.0;  // P(mended), (0, 1]
  std::string source;
  Span at;
  std::string file;
};

struct FaultRows {
  std::vector<FaultRow> faults;
  std::vector<CheckRow> checks;
  std::vector<RepairRow> repairs;
  double call_minutes = 120.0;  // until somebody who is called for help has put it right
  double retry_minutes = 1.0;   // of proving the point again after a repair, five times in a row

  // The row that fits best: one for the point before one for the device before one for all; null where there is none.
  [[nodiscard]] const FaultRow* fault(PartKind part, Mode mode, std::string_view device, std::string_view point) const;
  [[nodiscard]] const CheckRow& check(CheckKind check) const;
  [[nodiscard]] const RepairRow& repair(RepairKind repair, PartKind part) const;
};

// Reads the files in order; a row of a later file replaces the like row of an earlier one, twice in one file is an
// error. Everything wrong is reported in one run, and nothing returned then; so it is where a check or repair has no
// row at all.
[[nodiscard]] std::optional<FaultRows> read_fault_rows(const std::vector<SourceText>& files, Diagnostics& found);

}  // namespace ringout::faults
