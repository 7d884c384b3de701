#include "find/robot/derivation.h"

#include "find/robot/cautions.h"

namespace ringout::faults {

Draft draft_of(CheckKind kind, Draft::Commands commands, std::string point, std::vector<Shown> outcomes,
               std::string name) {
  Draft out;
  const Moves moves = commands == Draft::Commands::nobody ? Moves::no : Moves::yes;
  out.origin = {kind, witness_of(kind), moves, std::move(point), {}, std::move(outcomes)};
  out.commands = commands;
  out.name = std::move(name);
  if (moves == Moves::yes) {
    out.caution = caution::moves;
  } else if (out.origin.witness != Witness::bench) {
    out.caution = caution::supply_off;
  }
  return out;
}

int line_of(CheckKind kind) {
  switch (kind) {
    case CheckKind::complaint:
    case CheckKind::operate:
      return 1;
    case CheckKind::link:
    case CheckKind::firmware:
    case CheckKind::program_names:
    case CheckKind::table:
    case CheckKind::record:
    case CheckKind::look_indicator:
    case CheckKind::look_controller:
      return 2;
    case CheckKind::look_wiring:
    case CheckKind::tug:
      return 3;
    case CheckKind::meter_fuse:
      return 4;
    case CheckKind::continuity_return:
      return 5;
    case CheckKind::supply_at_rest:
    case CheckKind::supply_under_load:
    case CheckKind::meter_supply:
    case CheckKind::meter_feed:
    case CheckKind::meter_sensor_supply:
      return 6;
    case CheckKind::look_link:
    case CheckKind::swap_port:
    case CheckKind::swap_device:
    case CheckKind::swap_sensor:
      return 8;
    case CheckKind::unhook:
      return 9;
    case CheckKind::inputs_at_rest:
    case CheckKind::program_value:
    case CheckKind::bump:
    case CheckKind::sensor_response:
    case CheckKind::meter_port:
    case CheckKind::meter_connector:
    case CheckKind::meter_device:
    case CheckKind::continuity_wire:
    case CheckKind::watch_bump:
    case CheckKind::work_sensor:
    case CheckKind::turn_by_hand:
    case CheckKind::meter_signal:
      return 7;
  }
  return 7;
}

Witness witness_of(CheckKind kind) {
  switch (kind) {
    case CheckKind::link:
    case CheckKind::supply_at_rest:
    case CheckKind::firmware:
    case CheckKind::program_names:
    case CheckKind::table:
    case CheckKind::inputs_at_rest:
    case CheckKind::record:
    case CheckKind::supply_under_load:
    case CheckKind::bump:
    case CheckKind::sensor_response:
      return Witness::bench;
    case CheckKind::operate:
    case CheckKind::program_value:
    case CheckKind::meter_port:
    case CheckKind::meter_connector:
    case CheckKind::watch_bump:
    case CheckKind::work_sensor:
    case CheckKind::look_link:
    case CheckKind::swap_port:
    case CheckKind::swap_device:
    case CheckKind::swap_sensor:
    case CheckKind::unhook:
      return Witness::both;
    default:
      return Witness::person;
  }
}

bool needs_link(CheckKind kind) {
  switch (kind) {
    case CheckKind::link:
    case CheckKind::record:
    case CheckKind::operate:
    case CheckKind::look_link:
      return false;
    default:
      return witness_of(kind) != Witness::person;
  }
}

}  // namespace ringout::faults
