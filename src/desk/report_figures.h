// Every figure of a report that is given with its interval: a list, and the value of each.
#pragma once

#include <string_view>
#include <vector>

#include "desk/desk.h"

namespace ringout::desk {

enum class PartOf { load_case, motor, duty };

struct ReportFigure {
  RangeOf what;
  std::size_t of = 0;
  std::size_t part = 0;
  SpreadUnit unit = SpreadUnit::volt;
  PartOf where = PartOf::load_case;  // motor: `of` is an output
  bool reciprocal = false;           // one that may be infinite, as a time: value_of gives 1 over it
};

// "case_controller", …: as in the JSON.
[[nodiscard]] std::string_view name_of(RangeOf what);

// In the order of RangeOf, `of` and `part`. Loads of wires, ports, connectors and banks in their worst case alone;
// protections where they carry half their rating and more.
[[nodiscard]] std::vector<ReportFigure> report_figures(const DeskReport& report);

// Not a number where the report has no such figure. In SI; shares as ratios.
[[nodiscard]] double value_of(const DeskReport& report, const ReportFigure& figure);

}  // namespace ringout::desk
