// The path of a point: the ordered chain of parts its power or signal runs through, supply first.
#pragma once

#include <string>
#include <vector>

#include "robot/robot.h"

namespace ringout::robot {

enum class PartKind {
  program,
  binding,
  firmware,
  link,
  battery,
  protection,
  supply_wire,
  board,
  port,
  wire,
  connector,
  motor,
  load,
  gear,
  mechanism,
  sensor,
  sensor_supply,
  sensor_wire
};

struct Part {
  PartKind kind;
  std::string name;  // unique within the robot: shared parts (battery, main breaker, board) have one name in all paths
  Access access;
  Discipline owner = Discipline::wiring;
};

using Path = std::vector<Part>;

// Names: the battery's and the protections' own; else "<owner> <what>" with a blank, which no name of a robot file
// holds: "fuse_lift supply wire", "port OUT3", "lift wire", "lift motor", "lift gear", "lift_top sensor". An output's
// path: its feed, then the controller with what feeds it and what runs on it, then port to mechanism. An input's: the
// controller, the sensor's supply, what it senses, the sensor, its wire, its port, the program.

[[nodiscard]] Path path_of(const Robot& robot, const Output& output);
[[nodiscard]] Path path_of(const Robot& robot, const Input& input);

}  // namespace ringout::robot
