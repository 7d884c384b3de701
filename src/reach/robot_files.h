// From paths to a robot: the edge that opens the files which src/robot and src/plant read as texts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "base/result.h"
#include "plant/deviations.h"
#include "robot/robot.h"

namespace ringout::reach {

// Where boards and devices are looked for, besides the folder `catalogue` beside the robot file: each folder itself and
// its folders `boards` and `devices`.
using CatalogueFolders = std::vector<std::string>;

struct RobotRead {
  std::optional<robot::Robot> robot;  // only where nothing is wrong
  Diagnostics found;                  // of the robot file and of the catalogue
  std::vector<SourceText> texts;      // all that was read, to show the findings in
};

// Fails only where a file cannot be read at all; what is wrong inside is in `found`.
[[nodiscard]] Result<RobotRead> read_robot_files(const std::string& robot_path, const CatalogueFolders& folders);
// All findings as a person reads them, worst first, then by place, each with its line and caret.
[[nodiscard]] std::string render_all(const Diagnostics& found, const std::vector<SourceText>& texts);

// The two together: a robot without errors, or robot.has-errors with the findings rendered in the message.
[[nodiscard]] Result<robot::Robot> load_robot(const std::string& robot_path, const CatalogueFolders& folders);

// A simulated robot: what is really there, and how it differs from what is drawn.
struct Simulated {
  robot::Robot drawn;  // the deviations file's own robot where it names one
  plant::Deviations deviations;
  std::string robot_path;
};

// Without a deviations file the robot is as drawn. A robot file named in the deviations is resolved beside them, so
// that correcting another copy of the robot file does not move the truth.
[[nodiscard]] Result<Simulated> load_simulated(const std::string& robot_path,
                                               const std::optional<std::string>& deviations_path,
                                               const CatalogueFolders& folders);

}  // namespace ringout::reach
