// The firmware of an emulated controller that carries another one than the team's: an older one, or one whose program
// was built against other names. The emulated chip runs firmware, so such a one is built.
#pragma once

#include <optional>
#include <string>

#include "base/result.h"
#include "reach/open_link.h"

namespace ringout::reach {

// What differs from the team's own build.
struct FirmwareDeviation {
  std::optional<robot::Robot> built_against;  // other names; empty: the robot as drawn
  enum class Version { current, old } version = Version::current;
};

// Builds it into `folder` and returns the path of the firmware. Its program is the team's (program.cpp beside the robot
// file) where that fits the names and exists, else one that does nothing. Errors: those of bind::firmware_build, of
// writing files, and link.firmware-not-built (no compiler, no sources, or the program does not compile).
[[nodiscard]] Result<std::string> build_deviating_firmware(const LinkSpec& spec, const robot::Robot& drawn,
                                                           const FirmwareDeviation& deviation,
                                                           const std::string& folder);

}  // namespace ringout::reach
