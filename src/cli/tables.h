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
[[nodiscard]] std::string agreement_text(const prove::Agreement& agreement, Colour colour,
                                         bool whole = true);  // of a proving that went to its end
[[nodiscard]] std::string supply_text(const prove::SupplyFinding& supply);

[[nodiscard]] std::string ready_step_text(const session::ReadyStep& step, Colour colour);
// One event of a session as a line or two; empty for what is not to be printed.
[[nodiscard]] std::string event_text(const session::Event& event, Colour colour);

// What a jog did, and where nothing moved, what bounded it and what to do next.
[[nodiscard]] std::string jog_text(const robot::Output& output, const session::JogOptions& asked,
                                   const session::Jog& jog);

// The meters as a table, commanded beside expected beside measured.
[[nodiscard]] std::string meters_table(const session::Meters& meters, Colour colour);
// One line for a pipe: "12.41 V  line 31 (lift tray)  lift 40.0 % 0.12 m/s (expected 0.11) …".
[[nodiscard]] std::string meters_line(const session::Meters& meters, double seconds);

}  // namespace ringout::cli
