// The loop diagram: one row a point and one for the controller's own supply, read from left to right: supply,
// protection, port, wire, device, mechanism and what senses it. In the manner of IEC 61082-1, single-line: one line
// stands for the conductors that its slash counts. A3 landscape (also readable as A4), as many sheets as the points
// need.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "robot/robot.h"

namespace ringout::bind {

enum class Mark { proved, disagrees, silent, untested, stale };

struct DiagramNotes {
  std::map<std::string, Mark> verdicts;  // by point; points without one leave the column free for a pencil
  std::string date;                      // as the edge's clock says it; may be empty
  std::string table_fingerprint;         // may be empty
};

constexpr std::size_t rows_on_a_sheet = 17;

// Each element is one sheet, a whole SVG file.
[[nodiscard]] std::vector<std::string> loop_diagram(const robot::Robot& robot, const DiagramNotes& notes);

}  // namespace ringout::bind
