// The point schedule: one row a point, as CSV (RFC 4180: CR LF, quotes doubled), for spreadsheets and for paper.
#pragma once

#include <string>

#include "robot/robot.h"

namespace ringout::bind {

[[nodiscard]] std::string point_schedule_csv(const robot::Robot& robot);

}  // namespace ringout::bind
