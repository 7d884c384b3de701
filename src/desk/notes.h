// What the desk check itself has to say beside the rules, as notes among the findings: figures that it could not use
// as they stand.
//   tolerance.moves-nothing     tolerances that no figure of the report depends on
//   protection.beyond-derating  an ambient outside a protection's table of derating, whose nearest factor is used
#pragma once

#include "desk/desk.h"

namespace ringout::desk {

// Behind the findings of the rules.
void add_notes(const robot::Robot& robot, DeskReport& report);

}  // namespace ringout::desk
