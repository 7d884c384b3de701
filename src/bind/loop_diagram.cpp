#include "bind/loop_diagram.h"

#include <fmt/format.h>

#include <algorithm>

#include "bind/sheet.h"

namespace ringout::bind {
namespace {

const char* const style =
    "text{font-family:'Helvetica Neue',Helvetica,Arial,'Liberation Sans','DejaVu Sans',sans-serif}"
    ".wire,.branch{stroke:#000;stroke-width:.45}.link{stroke:#000;stroke-width:.3;stroke-dasharray:1.6 1}"
    ".body{stroke:#000;stroke-width:.4;fill:#fff}.thick{stroke-width:.8}.inner{stroke:#000;stroke-width:.35;fill:none}"
    ".solid{fill:#000;stroke:none}.count{stroke:#000;stroke-width:.3}.terminal{fill:#fff;stroke:#000;stroke-width:.35}"
    ".junction{fill:#000}.frame{fill:none;stroke:#000;stroke-width:.7}.cell{fill:none;stroke:#000;stroke-width:.25}"
    ".rule{stroke:#c4c4c4;stroke-width:.18}.free{fill:none;stroke:#8a8a8a;stroke-width:.2;stroke-dasharray:.8 .8}"
    ".sign{fill:none;stroke:#000;stroke-width:.6;stroke-linecap:round;stroke-linejoin:round}";

// Outputs, and behind them the controller's own supply, in the order of the feed tree: at each stage, what it feeds in
// the order of the first one behind it. Indexes of outputs; one more: the controller.
std::vector<std::size_t> feed_order(const robot::Robot& robot) {
  std::vector<std::vector<std::string>> chains;
  for (const auto& output : robot.outputs) chains.push_back(feed_of(robot, output.fed_by));
  if (!robot.board_fed_by.empty()) chains.push_back(feed_of(robot, robot.board_fed_by));
  std::vector<std::size_t> order(chains.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  // The sort key: for every stage of the feed, the first one in the file that shares it.
  const auto key = [&](std::size_t i) {
    std::vector<std::size_t> firsts;
    for (std::size_t depth = 0; depth < chains[i].size(); ++depth) {
      for (std::size_t other = 0; other < chains.size(); ++other) {
        if (chains[other].size() > depth && chains[other][depth] == chains[i][depth]) {
          firsts.push_back(other);
          break;
        }
      }
    }
    firsts.push_back(i);
    return firsts;
  };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
  return order;
}

void place(std::vector<Row>& rows) {
  double y = sheet::top + sheet::heading;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool first_of_group = i == 0 || (rows[i].input != nullptr && rows[i - 1].input == nullptr);
    if (first_of_group) y += sheet::group_band;
    rows[i].y = y + sheet::row_pitch / 2.0;
    y += sheet::row_pitch;
  }
}

}  // namespace

std::vector<Row> rows_of(const robot::Robot& robot) {
  std::vector<Row> rows;
  for (const std::size_t i : feed_order(robot)) {
    rows.push_back({.output = i < robot.outputs.size() ? &robot.outputs[i] : nullptr, .number = i});
  }
  for (std::size_t i = 0; i < robot.inputs.size(); ++i) {
    rows.push_back({.input = &robot.inputs[i], .number = robot.outputs.size() + i});
  }
  return rows;
}

std::vector<std::string> loop_diagram(const robot::Robot& robot, const DiagramNotes& notes) {
  const std::vector<Row> all = rows_of(robot);
  const std::size_t sheets = std::max<std::size_t>(1, (all.size() + rows_on_a_sheet - 1) / rows_on_a_sheet);
  std::vector<std::string> drawn;
  for (std::size_t s = 0; s < sheets; ++s) {
    const std::size_t from = s * rows_on_a_sheet;
    std::vector<Row> rows(all.begin() + static_cast<std::ptrdiff_t>(from),
                          all.begin() + static_cast<std::ptrdiff_t>(std::min(all.size(), from + rows_on_a_sheet)));
    place(rows);
    Drawing d;
    draw_frame(d, rows);
    draw_feeds(d, robot, rows);
    for (const Row& row : rows) {
      if (row.is_controller()) {
        draw_controller(d, robot, row);
      } else {
        draw_row(d, robot, row, notes);
      }
    }
    draw_key(d, robot, rows);
    draw_title_block(d, robot, {s + 1, sheets}, notes);
    drawn.push_back(d.svg(sheet::width, sheet::height, "Loop diagram of " + robot.name, style));
  }
  return drawn;
}

}  // namespace ringout::bind
