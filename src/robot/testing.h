// For tests of all parts: the demonstration robot, read from the source tree. The only place of src/robot that opens
// files; it is a library of its own (ringout_robot_testing).
#pragma once

#include <string>
#include <vector>

#include "base/source_text.h"
#include "robot/robot.h"

namespace ringout::robot::testing {

// The text of a file under the root; aborts where it cannot be read. Its name is the path as given.
[[nodiscard]] SourceText load_text(const std::string& root, const std::string& path);

// All catalogue files of data/boards and data/devices, in the order of their names.
[[nodiscard]] std::vector<SourceText> catalogue_texts(const std::string& root);
[[nodiscard]] Catalogue shipped_catalogue(const std::string& root);

// examples/tray_carrier/robot.toml; aborts with the findings printed where it does not read without error.
[[nodiscard]] Robot demonstration_robot(const std::string& root);

// A servo "tilt" of the shipped catalogue on the demonstration's board, fed by this protection; "": by the board.
[[nodiscard]] Output servo_on(const Robot& demonstration, const std::string& protection);

// Any robot text against the shipped catalogue; aborts likewise.
[[nodiscard]] Robot robot_from(const std::string& root, const SourceText& text);

// The robot with everything that hangs on its board once more, and again, until it has that many points: branches,
// ports, outputs and inputs, each copy with its number behind its names. What feeds all of them stays as it is.
[[nodiscard]] Robot repeated(const Robot& robot, std::size_t points);

}  // namespace ringout::robot::testing
