// Frame, headings, key and title block of a sheet.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "bind/points_hpp.h"
#include "bind/row_symbols.h"
#include "bind/sheet.h"
#include "bind/symbols.h"
#include "robot/fingerprint.h"

namespace ringout::bind {
namespace {

struct Column {
  double left;
  const char* heading;
};
constexpr Column columns[] = {{sheet::point, "Point"},
                              {sheet::supply, "Supply"},
                              {sheet::protection, "Protection"},
                              {sheet::port, "Port"},
                              {sheet::wire, "Wire"},
                              {sheet::device, "Device"},
                              {sheet::mechanism, "Mechanism"},
                              {sheet::senses, "Sensed by, scale"},
                              {sheet::verdict, "Verdict"}};

// Letters down the side and figures along the edge, so that a place can be named over a telephone (ISO 5457).
void draw_zones(Drawing& d) {
  const TextStyle zone{.size = 2.5, .anchor = Anchor::middle, .tone = Tone::grey};
  constexpr int across = 8;
  constexpr int down = 6;
  const double wide = (sheet::right - sheet::left) / across;
  const double high = (sheet::bottom - sheet::top) / down;
  for (int i = 0; i < across; ++i) {
    const double x = sheet::left + wide * (i + 0.5);
    d.text({x, sheet::top - 1.6}, std::to_string(i + 1), 5.0, zone);
    d.text({x, sheet::bottom + 3.6}, std::to_string(i + 1), 5.0, zone);
    if (i > 0) {
      const double edge = sheet::left + wide * i;
      d.line({edge, sheet::top - 5.0}, {edge, sheet::top}, "class=\"rule\"");
      d.line({edge, sheet::bottom}, {edge, sheet::bottom + 5.0}, "class=\"rule\"");
    }
  }
  for (int i = 0; i < down; ++i) {
    const double y = sheet::top + high * (i + 0.5);
    const std::string letter(1, static_cast<char>('A' + i));
    d.text({sheet::left - 2.5, y + 0.9}, letter, 4.0, zone);
    d.text({sheet::right + 2.5, y + 0.9}, letter, 4.0, zone);
    if (i > 0) {
      const double edge = sheet::top + high * i;
      d.line({sheet::left - 5.0, edge}, {sheet::left, edge}, "class=\"rule\"");
      d.line({sheet::right, edge}, {sheet::right + 5.0, edge}, "class=\"rule\"");
    }
  }
}

void draw_field(Drawing& d, Place corner, double width, double height, const std::string& label,
                const std::string& value, double size) {
  d.rectangle(corner, width, height, "class=\"cell\"");
  d.text({corner.x + 1.5, corner.y + 2.7}, label, width - 3.0, {.size = 2.0, .tone = Tone::grey});
  d.text({corner.x + 1.5, corner.y + height - 1.6}, value, width - 3.0,
         {.size = size, .weight = size > 3.0 ? Weight::bold : Weight::regular});
}

std::string people(const robot::Robot& robot) {
  std::string text;
  for (const auto& [discipline, person] : robot.owners) {
    if (!text.empty()) text += ", ";
    text.append(discipline).append(" ").append(person);
  }
  return text.empty() ? "not stated" : text;
}

}  // namespace

void draw_frame(Drawing& d, const std::vector<Row>& rows) {
  d.rectangle({sheet::left, sheet::top}, sheet::right - sheet::left, sheet::bottom - sheet::top, "class=\"frame\"");
  draw_zones(d);
  for (const Column& column : columns) {
    d.text({column.left + 2.0, sheet::top + 4.8}, column.heading, 40.0,
           {.size = 2.8, .weight = Weight::bold, .tone = Tone::grey});
  }
  d.line({sheet::left, sheet::top + sheet::heading}, {sheet::right, sheet::top + sheet::heading}, "class=\"cell\"");
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double above = rows[i].y - sheet::row_pitch / 2.0;
    const bool first_of_group = i == 0 || (rows[i].input != nullptr && rows[i - 1].input == nullptr);
    if (first_of_group) {
      d.text({sheet::left + 2.0, above - 1.3}, rows[i].input == nullptr ? "Outputs" : "Inputs", 40.0,
             {.size = 2.6, .tone = Tone::grey});
    }
    d.line({sheet::left, above}, {sheet::supply - 1.5, above}, "class=\"rule\"");
    d.line({sheet::port, above}, {sheet::right, above}, "class=\"rule\"");
  }
}

void draw_key(Drawing& d, const robot::Robot& robot, const std::vector<Row>& rows) {
  std::vector<Symbol> used;
  const auto use = [&used](Symbol symbol) {
    if (std::find(used.begin(), used.end(), symbol) == used.end()) used.push_back(symbol);
  };
  use(Symbol::battery);
  for (const auto& protection : robot.protections) use(protection_symbol(robot, protection));
  for (const Row& row : rows) {
    if (!row.is_controller()) use(device_symbol(robot, row));
  }
  for (const Row& row : rows) {
    if (row.output != nullptr && row.output->mechanism) use(Symbol::gear);
  }
  use(Symbol::connector);
  constexpr std::size_t across = 5;
  const double cell = (sheet::title_left - sheet::left - 2.0) / across;
  for (std::size_t i = 0; i < std::min<std::size_t>(used.size(), across * 3); ++i) {
    const double x = sheet::left + 8.0 + cell * static_cast<double>(i % across);
    const std::size_t line = i / across;
    const double y = sheet::title_top + 4.0 + 9.4 * static_cast<double>(line);
    draw_symbol(d, used[i], {x, y}, "key");
    d.text({x + 6.6, y + 0.9}, meaning_of(used[i]), cell - 13.6, {.size = 2.3});
  }
  d.text(
      {sheet::left + 2.0, sheet::bottom - 4.9},
      "Single-line: one line stands for as many conductors as its slash counts. Dashed: mechanical link. Parts of one "
      "name are one part.",
      sheet::title_left - sheet::left - 5.0, {.size = 2.2, .tone = Tone::grey});
  d.text({sheet::left + 2.0, sheet::bottom - 1.7},
         "Local rules and licensed practice come first. Ringout's stop is no emergency stop; the supply disconnect is.",
         sheet::title_left - sheet::left - 5.0, {.size = 2.2, .tone = Tone::grey});
}

void draw_title_block(Drawing& d, const robot::Robot& robot, SheetNumber number, const DiagramNotes& notes) {
  const double x = sheet::title_left;
  const double y = sheet::title_top;
  const std::string file = robot.text != nullptr ? robot.text->name() : "";
  const std::size_t slash = file.rfind('/');
  draw_field(d, {x, y}, 120.0, 12.0, robot.invented ? "Robot (invented, for demonstration)" : "Robot", robot.name, 4.6);
  draw_field(d, {x + 120.0, y}, 60.0, 12.0, "Document", "Loop diagram", 4.2);
  draw_field(d, {x, y + 12.0}, 60.0, 8.0, "Robot file", slash == std::string::npos ? file : file.substr(slash + 1),
             2.8);
  draw_field(d, {x + 60.0, y + 12.0}, 60.0, 8.0, "Board",
             robot.board.name + (robot.board_fed_by.empty() ? "" : ", fed by " + robot.board_fed_by), 2.8);
  draw_field(d, {x + 120.0, y + 12.0}, 60.0, 8.0, "Date", notes.date, 2.8);
  draw_field(d, {x, y + 20.0}, 60.0, 8.0, "Names and kinds", fmt::format("{:08X}", robot::program_fingerprint(robot)),
             2.8);
  draw_field(d, {x + 60.0, y + 20.0}, 60.0, 8.0, "Point table", notes.table_fingerprint, 2.8);
  draw_field(d, {x + 120.0, y + 20.0}, 60.0, 8.0, "Drawn by", "Ringout", 2.8);
  draw_field(d, {x, y + 28.0}, 120.0, 8.0, "Settled by", people(robot), 2.8);
  draw_field(d, {x + 120.0, y + 28.0}, 60.0, 8.0, "Sheet", fmt::format("{} of {}", number.number, number.of), 2.8);
}

}  // namespace ringout::bind
