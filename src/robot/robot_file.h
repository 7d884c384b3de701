// Reading a robot file (docs/robot_file.md is its reference). Pure: texts are handed in, findings handed out.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "base/source_text.h"
#include "robot/robot.h"

namespace ringout::robot {

// Reads boards and devices from catalogue texts; findings are added to `found`.
[[nodiscard]] Catalogue read_catalogue(const std::vector<SourceText>& files, Diagnostics& found);

// Reads a robot file against a catalogue. All semantic errors are reported in one run, or the first syntax error.
// The robot is returned only when every name resolves and no error was found.
[[nodiscard]] std::optional<Robot> read_robot(const SourceText& text, const Catalogue& catalogue, Diagnostics& found);

// Reference checks on a robot that reads without error ("check"): findings only, nothing is changed.
void check_references(const Robot& robot, Diagnostics& found);

}  // namespace ringout::robot
