#include "robot/catalogue.h"

#include <algorithm>

namespace ringout::robot {

namespace {

template <class Named>
const Named* by_name(const std::vector<Named>& all, const std::string& name) {
  const auto at = std::find_if(all.begin(), all.end(), [&](const Named& n) { return n.name == name; });
  return at == all.end() ? nullptr : &*at;
}

}  // namespace

void row_from_constants(MotorDevice& motor) {
  if (!motor.constants) return;
  const MotorConstantsRow& c = *motor.constants;
  motor.free_current = c.no_load_current;
  motor.stall_current = motor.nominal / c.terminal_resistance;
  motor.stall_torque = c.torque_constant * motor.stall_current;
  motor.free_speed = (motor.nominal - c.no_load_current * c.terminal_resistance) / c.torque_constant;
}

const BoardPort* Board::find(const std::string& port_name) const {
  return by_name(ports, port_name);
}

std::vector<const BoardPort*> Board::of_kind(PortKind kind) const {
  std::vector<const BoardPort*> out;
  for (const BoardPort& port : ports) {
    if (port.kind == kind) out.push_back(&port);
  }
  return out;
}

const Board* Catalogue::board(const std::string& name) const {
  return by_name(boards, name);
}
const Device* Catalogue::device(const std::string& name) const {
  return by_name(devices, name);
}

}  // namespace ringout::robot
