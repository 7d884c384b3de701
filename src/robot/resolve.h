// Whether every name in a robot file stands for something that exists and fits: what the rest of Ringout relies on.
#pragma once

#include <set>
#include <string>

#include "base/diagnostic.h"
#include "robot/robot.h"

namespace ringout::robot {

// Legal and unique names; known devices, ports, protections, points; each of the kind that its place needs; no port
// used twice; every feed reaches the battery. Robust against a robot that is only half read: empty names are skipped,
// because their absence has been reported.
void resolve_names(const Robot& robot, Diagnostics& found);

// check_references for a robot that is only half read: nothing is said about kind, off behaviour and mechanism of the
// `unsound` outputs, in which an error was found already.
void check_references_but(const std::set<std::string>& unsound, const Robot& robot, Diagnostics& found);

void report_unknown_board(const Robot& robot, const std::string& model, const Catalogue& catalogue, Diagnostics& found);

constexpr std::size_t longest_name = 32;  // characters

// Why a name cannot be used in C++, or empty: an identifier, no keyword, not too long.
[[nodiscard]] std::string fault_of_name(const std::string& name);
// The same for a point, whose name stands in a team's program: no word of agent/program.hpp and no macro of the chip.
[[nodiscard]] std::string fault_of_point_name(const std::string& name);

// The port kind and the device a point of this kind needs.
[[nodiscard]] PortKind port_kind_for(PointKind kind);
[[nodiscard]] bool device_fits(PointKind kind, const Device& device);

constexpr std::size_t most_points = 64;

}  // namespace ringout::robot
