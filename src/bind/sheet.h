// Where things stand on a sheet of the loop diagram; all in mm.
#pragma once

#include <string>
#include <vector>

#include "base/check.h"
#include "bind/drawing.h"
#include "bind/loop_diagram.h"
#include "robot/robot.h"

namespace ringout::bind {

// A3 landscape with the frame of ISO 5457: 20 mm on the binding side, 10 mm elsewhere.
namespace sheet {
constexpr double width = 420.0;
constexpr double height = 297.0;
constexpr double left = 20.0;
constexpr double top = 10.0;
constexpr double right = 410.0;
constexpr double bottom = 287.0;

// Left edges of the columns.
constexpr double point = left;
constexpr double supply = 60.0;
constexpr double protection = 82.0;
constexpr double port = 148.0;
constexpr double wire = 180.0;
constexpr double device = 231.0;
constexpr double mechanism = 291.0;
constexpr double senses = 343.0;
constexpr double verdict = 383.0;

constexpr double heading = 7.0;
constexpr double group_band = 5.5;
constexpr double row_pitch = 12.7;
constexpr double title_top = 251.0;
constexpr double title_left = 230.0;  // ISO 7200: a title block is at most 180 mm wide
}  // namespace sheet

// One row: an output, an input, or neither: the controller's own supply. And the height of its line.
struct Row {
  const robot::Output* output = nullptr;
  const robot::Input* input = nullptr;
  std::size_t number = 0;  // the point's index
  double y = 0.0;

  [[nodiscard]] bool is_controller() const { return output == nullptr && input == nullptr; }
  [[nodiscard]] std::string name() const {
    if (is_controller()) return "own supply";  // with a blank, as no point's name has
    return output != nullptr ? output->name : input->name;
  }
  // Of an output or an input.
  [[nodiscard]] robot::PointKind kind() const {
    RINGOUT_CHECK(!is_controller());
    return output != nullptr ? output->kind : input->kind;
  }
};

struct SheetNumber {
  std::size_t number = 1;
  std::size_t of = 1;
};

// Outputs and the controller's own supply, ordered so that those behind one protection stand together (else as in the
// file, the controller last), then the inputs.
[[nodiscard]] std::vector<Row> rows_of(const robot::Robot& robot);
// Names of the stages down to this protection, "battery's name" first.
[[nodiscard]] std::vector<std::string> feed_of(const robot::Robot& robot, const std::string& protection);

void draw_frame(Drawing& drawing, const std::vector<Row>& rows);
void draw_feeds(Drawing& drawing, const robot::Robot& robot, const std::vector<Row>& rows);
void draw_controller(Drawing& drawing, const robot::Robot& robot, const Row& row);
void draw_row(Drawing& drawing, const robot::Robot& robot, const Row& row, const DiagramNotes& notes);
void draw_title_block(Drawing& drawing, const robot::Robot& robot, SheetNumber sheet, const DiagramNotes& notes);
void draw_key(Drawing& drawing, const robot::Robot& robot, const std::vector<Row>& rows);

// A line that carries power or signal, between two named terminals; tests hold its ends to them.
void draw_wire(Drawing& drawing, Place from, Place to, const std::string& from_terminal,
               const std::string& to_terminal);

}  // namespace ringout::bind
