// The desk check as a person reads it: what she wants to know first, then the figures behind it, worst first; at most
// 80 columns.
#pragma once

#include <string>

#include "cli/terminal.h"
#include "desk/desk.h"

namespace ringout::cli {

// "[######....]": full is the limit, "!" at the end where it is passed.
[[nodiscard]] std::string bar_of(double share, int width = 10);

[[nodiscard]] std::string desk_text(const robot::Robot& robot, const desk::DeskReport& report, Colour colour);

// The two halves of it, for tests: the four answers, and the tables.
[[nodiscard]] std::string glance_text(const robot::Robot& robot, const desk::DeskReport& report, Colour colour);
// One more line at a glance: how much is found, be it by the reading or by the rules.
[[nodiscard]] std::string findings_answer(std::size_t errors, std::size_t warnings, Colour colour);
[[nodiscard]] std::string margins_text(const robot::Robot& robot, const desk::DeskReport& report, Colour colour);

// "0.75 s to 10 min", "not", "from 0.75 s on, if at all".
[[nodiscard]] std::string trip_text(const desk::TripInterval& trip);

}  // namespace ringout::cli
