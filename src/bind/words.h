// How figures of a robot are written in diagram, schedule and table text: short, with their unit.
#pragma once

#include <string>

#include "bind/scaling.h"
#include "robot/robot.h"

namespace ringout::bind {

[[nodiscard]] std::string words_of(const robot::Wire& wire);             // "AWG 14, 1.2 m"; empty where not stated
[[nodiscard]] std::string words_of(const robot::Device& device);         // "12 V, 5300 rpm free, stalls at 20 A"
[[nodiscard]] std::string words_of(const robot::Mechanism& mechanism);   // "gear 30:1, 0 to 0.45 m"
[[nodiscard]] std::string words_of(const InputScale& scale);             // "0.122 mm a count"
[[nodiscard]] std::string number_in_unit(double si, Measured measured);  // "0.45 m", "90°", "on"

// What an input watches: "lift, low end of travel", "clamp, output shaft", "surroundings".
[[nodiscard]] std::string watched_by(const robot::Input& input);
// How many conductors run between port and device: 2 for loads and switches, 3 and 4 with a sensor's supply.
[[nodiscard]] int conductors_of(robot::PointKind kind);

}  // namespace ringout::bind
