// What the bench commands print, as text: pure, so that golden files hold it.
#pragma once

#include <string>
#include <vector>

#include "cli/terminal.h"
#include "prove/agreement.h"
#include "session/session.h"

namespace ringout::cli {

// Drawn, coded and found side by side, with the verdict and who settles it; at most 100 columns. Below it what to do
// for each point that is not proved, and one line that says how many are.
[[nodiscard]] std::string agreement_text(const prove::Agreement& agreement, Colour colour);
// What to write in the robot file so that drawn becomes found, or what to rewire instead; empty for nothing.
[[nodiscard]] std::string corrections_text(const std::vector<prove::Correction>& corrections);
[[nodiscard]] std::string supply_text(const prove::SupplyFinding& supply);

[[nodiscard]] std::string ready_step_text(const session::ReadyStep& step, Colour colour);
// One event of a session as a line or two; empty for what is not to be printed.
[[nodiscard]] std::string event_text(const session::Event& event, Colour colour);

// The meters as a table, commanded beside expected beside measured.
[[nodiscard]] std::string meters_table(const session::Meters& meters, Colour colour);
// One line for a pipe: "12.41 V  line 31 (lift tray)  lift 40.0 % 0.12/0.11 m/s …".
[[nodiscard]] std::string meters_line(const session::Meters& meters, double seconds);

}  // namespace ringout::cli
