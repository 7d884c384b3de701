// Which symbol stands for a row's device, and for a protection.
#pragma once

#include "bind/sheet.h"
#include "bind/symbols.h"

namespace ringout::bind {

[[nodiscard]] Symbol protection_symbol(const robot::Robot& robot, const robot::Protection& protection);
[[nodiscard]] Symbol device_symbol(const robot::Robot& robot, const Row& row);

}  // namespace ringout::bind
