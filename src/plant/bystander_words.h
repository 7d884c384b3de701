// Text lines for the hands and eyes beside a simulated robot: "press lift_top", "release lift_top", "open disconnect",
// "close disconnect", "reset BREAKER", "look".
#pragma once

#include <string>

#include "plant/bystander.h"

namespace ringout::plant {

// Does what the line says and returns one line, or for "look" one line for each thing seen, to print as the answer.
// A line that says nothing is answered with nothing; one that cannot be followed with what can.
[[nodiscard]] std::string follow(Bystander& bystander, const std::string& line);

}  // namespace ringout::plant
