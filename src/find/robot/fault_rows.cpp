#include "find/robot/fault_rows.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/check.h"
#include "find/robot/repair_kinds.h"
#include "robot/document.h"
#include "robot/table_reader.h"

namespace ringout::faults {

namespace {

using robot::Bounds;
using robot::Dimension;
using robot::Need;
using robot::Node;
using robot::TableReader;

constexpr Bounds prior_bounds{0.0, 0.5};
constexpr Bounds time_bounds{0.0, 1e6};      // s
constexpr Bounds success_bounds{0.01, 1.0};  // a repair that never helps is none
constexpr const char* no_source = "common practice, no source";

template <class Kind>
std::vector<std::string> words(const std::vector<Kind>& kinds) {
  std::vector<std::string> out;
  for (const Kind k : kinds) out.emplace_back(name_of(k));
  return out;
}

// True where both are about the same thing, so that the later one replaces the earlier.
bool like(const FaultRow& a, const FaultRow& b) {
  return a.part == b.part && a.mode == b.mode && a.device == b.device && a.point == b.point;
}
bool like(const CheckRow& a, const CheckRow& b) {
  return a.check == b.check;
}
bool like(const RepairRow& a, const RepairRow& b) {
  return a.repair == b.repair && a.part == b.part;
}

class RowReader {
 public:
  RowReader(const SourceText& text, FaultRows& into, Diagnostics& found) : text_(text), into_(into), found_(found) {}

  void read(const Node& root) {
    TableReader top(text_, root, "the file", found_);
    for (const Node* n : top.tables("part")) part(*n);
    for (const Node* n : top.tables("checks")) check(*n);
    for (const Node* n : top.tables("repairs")) repair(*n);
    if (const Node* n = top.table("help", Need::optional, "[help]")) help(*n);
    top.finish();
  }

 private:
  void part(const Node& node) {
    TableReader r(text_, node, "a part", found_);
    FaultRow row;
    row.file = text_.name();
    const auto kind = r.choice("kind", Need::required, words(all_part_kinds()));
    r.text("device", Need::optional, "drive_motor_12v", row.device);
    r.text("point", Need::optional, "lift", row.point);
    const std::vector<const Node*> faults = r.tables("faults");
    if (kind) {
      row.part = all_part_kinds()[*kind];
      r.rename(fmt::format("part \"{}\"", name_of(row.part)));
      for (const Node* n : faults) fault(*n, row);
    }
    r.finish();
  }

  void fault(const Node& node, FaultRow row) {
    TableReader r(text_, node, fmt::format("a fault of part \"{}\"", name_of(row.part)), found_);
    row.at = node.span;
    const std::span<const Mode> can = modes_of(row.part);
    const std::vector<Mode> modes(can.begin(), can.end());
    const auto mode = r.choice("mode", Need::required, words(modes));
    if (mode) row.mode = modes[*mode];
    r.exact_quantity("prior", Need::required, Dimension::fraction, prior_bounds, row.prior);
    source(r, row.source);
    r.finish();
    if (mode) put(into_.faults, row, fmt::format("{}, {}", name_of(row.part), name_of(row.mode)));
  }

  void check(const Node& node) {
    TableReader r(text_, node, "a check", found_);
    CheckRow row;
    row.at = node.span;
    row.file = text_.name();
    const auto kind = r.choice("kind", Need::required, words(all_check_kinds()));
    double time = 0;
    if (r.exact_quantity("time", Need::required, Dimension::time, time_bounds, time)) row.minutes = time / 60;
    r.exact_quantity("overlooks", Need::required, Dimension::fraction, prior_bounds, row.overlooks);
    r.exact_quantity("false_alarm", Need::required, Dimension::fraction, prior_bounds, row.false_alarm);
    source(r, row.source);
    r.finish();
    if (!kind) return;
    row.check = all_check_kinds()[*kind];
    put(into_.checks, row, fmt::format("check \"{}\"", name_of(row.check)));
  }

  void repair(const Node& node) {
    TableReader r(text_, node, "a repair", found_);
    RepairRow row;
    row.at = node.span;
    row.file = text_.name();
    const auto kind = r.choice("kind", Need::required, words(all_repair_kinds()));
    const auto part = r.choice("part", Need::required, words(all_part_kinds()));
    double time = 0;
    if (r.exact_quantity("time", Need::required, Dimension::time, time_bounds, time)) row.minutes = time / 60;
    r.exact_quantity("succeeds", Need::required, Dimension::fraction, success_bounds, row.succeeds);
    source(r, row.source);
    r.finish();
    if (!kind || !part) return;
    row.repair = all_repair_kinds()[*kind];
    row.part = all_part_kinds()[*part];
    put(into_.repairs, row, fmt::format("repair \"{}\" of a {}", name_of(row.repair), name_of(row.part)));
  }

  void help(const Node& node) {
    TableReader r(text_, node, "[help]", found_);
    double time = 0;
    if (r.exact_quantity("call", Need::optional, Dimension::time, time_bounds, time)) into_.call_minutes = time / 60;
    if (r.exact_quantity("retry", Need::optional, Dimension::time, time_bounds, time)) into_.retry_minutes = time / 60;
    std::string text;
    source(r, text);
    r.finish();
  }

  void source(TableReader& r, std::string& into) { r.text("source", Need::required, no_source, into); }

  template <class Row>
  void put(std::vector<Row>& rows, const Row& row, const std::string& what) {
    const auto at = std::find_if(rows.begin(), rows.end(), [&](const Row& other) { return like(other, row); });
    if (at == rows.end()) {
      rows.push_back(row);
    } else if (at->file == row.file) {
      found_.error(text_, row.at, "faults.twice", fmt::format("{} has two rows", what),
                   fmt::format("the other one stands in line {}: keep one", at->at.line));
    } else {
      *at = row;
    }
  }

  const SourceText& text_;
  FaultRows& into_;
  Diagnostics& found_;
};

// A check or repair that the model may need and that no file has a row for.
void find_gaps(const FaultRows& rows, const SourceText& last, Diagnostics& found) {
  for (const CheckKind kind : all_check_kinds()) {
    if (std::any_of(rows.checks.begin(), rows.checks.end(), [&](const CheckRow& r) { return r.check == kind; }))
      continue;
    found.error(last, {}, "faults.no-row", fmt::format("no file has a row for the check \"{}\"", name_of(kind)),
                "data/faults/checks.toml of this Ringout has them all: is it among the files?");
  }
  for (const PartKind part : all_part_kinds()) {
    for (const Mode mode : modes_of(part)) {
      const RepairKind kind = repair_of(part, mode);
      const auto same = [&](const RepairRow& r) { return r.repair == kind && r.part == part; };
      if (std::any_of(rows.repairs.begin(), rows.repairs.end(), same)) continue;
      found.error(last, {}, "faults.no-row",
                  fmt::format("no file has a row for the repair \"{}\" of a {}", name_of(kind), name_of(part)),
                  "data/faults/repairs.toml of this Ringout has them all: is it among the files?");
      break;
    }
  }
}

}  // namespace

std::optional<FaultRows> read_fault_rows(const std::vector<SourceText>& files, Diagnostics& found) {
  FaultRows rows;
  Diagnostics own;
  for (const SourceText& file : files) {
    if (const std::optional<Node> root = robot::read_document(file, own)) RowReader(file, rows, own).read(*root);
  }
  if (!own.has_errors()) find_gaps(rows, files.empty() ? SourceText("data/faults", "") : files.back(), own);
  robot::pass_on(own, found);
  if (own.has_errors()) return std::nullopt;
  return rows;
}

const FaultRow* FaultRows::fault(PartKind part, Mode mode, std::string_view device, std::string_view point) const {
  const FaultRow* best = nullptr;
  int best_fit = -1;
  for (const FaultRow& row : faults) {
    if (row.part != part || row.mode != mode) continue;
    if ((!row.device.empty() && row.device != device) || (!row.point.empty() && row.point != point)) continue;
    const int fit = (row.point.empty() ? 0 : 2) + (row.device.empty() ? 0 : 1);
    if (fit > best_fit) best = &row, best_fit = fit;
  }
  return best;
}

const CheckRow& FaultRows::check(CheckKind kind) const {
  const auto at = std::find_if(checks.begin(), checks.end(), [&](const CheckRow& r) { return r.check == kind; });
  RINGOUT_CHECK(at != checks.end());
  return *at;
}

const RepairRow& FaultRows::repair(RepairKind kind, PartKind part) const {
  const auto at = std::find_if(repairs.begin(), repairs.end(),
                               [&](const RepairRow& r) { return r.repair == kind && r.part == part; });
  RINGOUT_CHECK(at != repairs.end());
  return *at;
}

}  // namespace ringout::faults
