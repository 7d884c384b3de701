// The cold check as text: the sheet, the verdicts, and the page to print.
#pragma once

#include <string>
#include <vector>

#include "cli/terminal.h"
#include "cold/judge.h"

namespace ringout::cli {

// Cautions, then every step with what to touch and what to expect; at most 80 columns.
[[nodiscard]] std::string cold_sheet_text(const std::string& robot, const cold::Sheet& sheet, Colour colour);
// One step as it is asked at the terminal.
[[nodiscard]] std::string cold_step_text(const cold::Step& step, Colour colour);
[[nodiscard]] std::string judgement_text(const cold::Judgement& judgement, Colour colour);
// Faults first, worst place first, then how many are good and how many not read.
[[nodiscard]] std::string cold_result_text(const std::vector<cold::Judgement>& judgements, Colour colour);
// HTML, black on white, with boxes for the readings.
[[nodiscard]] std::string cold_page(const std::string& robot, const cold::Sheet& sheet);
// The same as a table to fill in elsewhere (CSV); read back by cold::read_list.
[[nodiscard]] std::string cold_table(const cold::Sheet& sheet);

}  // namespace ringout::cli
