// Wires as robot file and catalogue write them: a size and a length, and what the insulation bears.
#pragma once

#include "robot/table_reader.h"

namespace ringout::robot {

// "18 AWG" or "0.75 mm2"; false where absent or wrong.
bool read_wire_size(TableReader& in, const char* key, Need need, Wire& wire);

// The table `wire` of what `in` reads.
void read_wire(TableReader& in, Need need, Wire& wire);

}  // namespace ringout::robot
