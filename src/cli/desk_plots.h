// The desk check's pictures, as figures to draw (chart/svg.h).
#pragma once

#include <string>
#include <vector>

#include "desk/desk.h"

namespace ringout::cli {

struct Plot {
  std::string name;  // of the file, without its ending: "voltage", "motor_lift", "protection_fuse_lift"
  std::string svg;
};

// Voltage in every load case, each motor's curves, each protection's limits with its loads, temperature and battery
// over time of each duty cycle. The report must have been made with Curves::include.
[[nodiscard]] std::vector<Plot> desk_plots(const robot::Robot& robot, const desk::DeskReport& report);

}  // namespace ringout::cli
