// Which figure a tolerance's path means: the reader writes paths, the desk check varies what they lead to.
#pragma once

#include <string_view>

#include "robot/robot.h"

namespace ringout::robot {

// Paths, with the keys as the files spell them; <i> counts rows of a list from 0:
//   device.<name>.<key>                      device.blade_fuse_10a.cold
//   device.<name>.<list>.<i>.<key>           device.agm_12v_7ah.internal_at.1.internal
//   board.<key>, board.bank.<name>.<key>, board.port.<name>.<key>
//   robot.ambient, battery.state_of_charge, battery.wire.length, board.wire.length
//   protection.<name>.wire.length, output.<name>.wire.length, input.<name>.wire.length
//   output.<name>.mechanism.<key>, output.<name>.mechanism.travel.<end>
//   load_case.<name>.<key>, load_case.<name>.loads.<i>.speed
//   duty_cycle.<name>.<key>, duty_cycle.<name>.step.<i>.duration, duty_cycle.<name>.step.<i>.loads.<i>.speed
// A speed constant's tolerance is one of torque_constant, a thermal time constant's one of the capacity, a net stall
// torque's one of stall_torque.
// The figure's place in `robot`, in SI; null where the path leads nowhere. Changing a figure of a motor that is given
// by its constants leaves its row behind: call row_from_constants on it.
[[nodiscard]] double* quantity_at(Robot& robot, std::string_view path);

}  // namespace ringout::robot
