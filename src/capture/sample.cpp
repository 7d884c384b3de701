#include "capture/sample.h"

#include <array>

namespace ringout::capture {

namespace {

constexpr std::array<const char*, 17> cause_names = {
    "none",          "host_stop",  "hold_lapsed", "released",      "supply_low",    "end_switch",      "travel_bound",
    "duration_over", "late_frame", "watchdog",    "table_changed", "program_ended", "program_stopped", "bank_current",
    "bug",           "hello",      "after_reset",
};

}  // namespace

const char* name_of(EndCause cause) {
  const auto i = static_cast<std::size_t>(cause);
  return i < cause_names.size() ? cause_names[i] : "unknown";
}

std::optional<EndCause> end_cause(std::string_view name) {
  for (std::size_t i = 0; i < cause_names.size(); ++i) {
    if (name == cause_names[i]) return static_cast<EndCause>(i);
  }
  return std::nullopt;
}

}  // namespace ringout::capture
