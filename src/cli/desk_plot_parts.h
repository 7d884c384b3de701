// What the desk check's pictures share; not for others.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "cli/desk_plots.h"

namespace ringout::cli {

[[nodiscard]] std::string note_of(std::string_view basis);      // assumption and source of a kind of figure
[[nodiscard]] std::string invented(const robot::Robot& robot);  // said where it is so
// When one protection opens, with the loads on it; none where its sheet says nothing of that.
[[nodiscard]] std::optional<Plot> protection_plot(const robot::Robot& robot, const desk::DeskReport& report,
                                                  std::size_t index);

}  // namespace ringout::cli
