#include "find/robot/repair_kinds.h"

namespace ringout::faults {

RepairKind repair_of(PartKind part, Mode mode) {
  switch (mode) {
    case Mode::empty:
      return RepairKind::charge;
    case Mode::tripped:
      return RepairKind::reset;
    case Mode::exchanged:
    case Mode::moved:
      return RepairKind::put_back;
    case Mode::reversed:
      return RepairKind::turn_round;
    case Mode::slipping:
      return RepairKind::tighten;
    case Mode::stiff:
      return RepairKind::ease;
    case Mode::misplaced:
      return RepairKind::adjust;
    case Mode::old:
      return RepairKind::load_firmware;
    case Mode::other_names:
      return RepairKind::rebuild;
    case Mode::stale:
      return RepairKind::load_table;
    case Mode::jammed:
      return part == PartKind::motor ? RepairKind::renew : RepairKind::free;
    default:
      break;
  }
  switch (part) {
    case PartKind::command:
      return RepairKind::edit_program;
    case PartKind::connector:
      return RepairKind::reconnect;
    case PartKind::supply_wire:
    case PartKind::wire:
    case PartKind::sensor_wire:
      return RepairKind::mend;
    case PartKind::fuse:
      return mode == Mode::intermittent ? RepairKind::reconnect : RepairKind::renew;
    case PartKind::port:
    case PartKind::sensor_port:
      return mode == Mode::dead ? RepairKind::move_over : RepairKind::renew;
    default:
      return RepairKind::renew;
  }
}

}  // namespace ringout::faults
