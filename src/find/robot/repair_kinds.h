// Which repair mends which fault.
#pragma once

#include "find/robot/kinds.h"

namespace ringout::faults {

[[nodiscard]] RepairKind repair_of(PartKind part, Mode mode);

}  // namespace ringout::faults
