// What a person writes after --on, read: a serial device's path, `twin`, `twin:DEVIATIONS.toml`, `emulated`,
// `emulated:DEVIATIONS.toml` or `none`.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace ringout::reach {

enum class LinkTo { none, serial_port, twin, emulated };

struct LinkName {
  LinkTo to = LinkTo::none;
  std::string device;                     // serial_port
  std::optional<std::string> deviations;  // twin, emulated
};

// `ports` are the serial devices of this machine, for suggestions only. Errors: link.unknown-name,
// link.deviations-missing.
[[nodiscard]] Result<LinkName> read_link_name(const std::string& text, const std::vector<std::string>& ports);

}  // namespace ringout::reach
