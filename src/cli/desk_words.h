// Words that the parts of the desk check's text share: figures with where they may lie, and headings.
#pragma once

#include <string>

#include "cli/measure.h"
#include "cli/terminal.h"
#include "desk/desk.h"

namespace ringout::cli {

constexpr std::size_t text_columns = 78;

[[nodiscard]] std::string volts_text(Voltage u);    // two decimals, so that a sag can be read
[[nodiscard]] std::string amperes_text(Current i);  // one decimal; below 1 A two, below 0.1 A in mA
[[nodiscard]] std::string heading(const std::string& text, Colour colour);

[[nodiscard]] Measure measure_of(desk::SpreadUnit unit);
[[nodiscard]] std::string between_text(desk::SpreadUnit unit, double low, double high);  // "11.05 to 11.34 V"
// Where a figure may lie, behind it: " (11.05 to 11.34 V)"; nothing where no tolerance moves it as far as it is shown.
[[nodiscard]] std::string range_text(const desk::FigureRange* range);
// The figure with it, both in the range's unit: "1.59 h (1.48 to 1.71 h)".
[[nodiscard]] std::string ranged_text(Measure measure, double si, const desk::FigureRange* range);
// " (to 64)": how far up a share in per cent may be.
[[nodiscard]] std::string most_percent(const desk::FigureRange* range);

// The worst case and each duty cycle's answers: their ranges and what drives them.
[[nodiscard]] std::string drivers_text(const robot::Robot& robot, const desk::DeskReport& report, Colour colour);

}  // namespace ringout::cli
