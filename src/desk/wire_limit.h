// What a wire carries for ever: a published table's current for its gauge, moved to an ambient temperature and
// the insulation's class by the heat balance of physics/wire_heat.h. Guidance only: local codes and the wire's maker
// rule.
#pragma once

#include <optional>
#include <string_view>

#include "robot/robot.h"

namespace ringout::desk {

struct WireLimit {
  std::optional<Current> current;  // absent: no wire, or thinner than any in the table
  std::string_view basis;          // of desk.h
};

// Insulation not stated: 70 °C, ordinary PVC.
[[nodiscard]] WireLimit wire_limit(const robot::Wire& wire, Temperature ambient);
// Of the robot and its load cases: a wire must carry its current in every one of them.
[[nodiscard]] Temperature hottest_ambient(const robot::Robot& robot);

}  // namespace ringout::desk
