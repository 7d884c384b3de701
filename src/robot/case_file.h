// Load cases and duty cycles of the robot file: [[load_case]], [[duty_cycle]] with its [[duty_cycle.step]].
#pragma once

#include "robot/table_reader.h"

namespace ringout::robot {

// After the outputs, which the loads name and whose mechanisms say what a speed is.
void read_cases(TableReader& file, Robot& robot);

// A speed of the mechanism's output: m/s where a radius turns angle into length, else rad/s.
bool read_speed(TableReader& in, const char* key, Need need, const Mechanism& mechanism, Bounds bounds, double& into);

}  // namespace ringout::robot
