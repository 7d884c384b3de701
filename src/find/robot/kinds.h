// The closed sets that fault finding on a robot speaks in. Every value has one name, used in files, JSON and texts
// alike.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ringout::faults {

// Kinds of part; a point's path runs through one of each that it has, shared parts are in many paths.
enum class PartKind {
  battery,
  breaker,
  fuse,
  resettable,
  supply_wire,
  board,
  bank,           // the return that several ports share
  sensor_supply,  // of the board, for all sensors
  link,
  firmware,
  program,  // the names and kinds that it was built against
  table,    // the point table in the controller
  command,  // what the program does with one point
  port,     // of an output: driver and terminal
  wire,     // of an output, both conductors
  connector,
  place,  // where a lead is plugged in
  motor,
  load,  // lamp, pump, valve, servo, light: without a mechanism that the robot file describes
  gear,
  mechanism,
  encoder,
  contact,  // switch
  analogue_sensor,
  bus_device,
  sensor_wire,
  sensor_port,
};

enum class Mode {
  open,          // nothing goes through
  intermittent,  // makes contact only part of the time
  shorted,       // the two conductors or terminals touch
  reversed,      // the two leads, or an encoder's two channels, are exchanged
  exchanged,     // with another point
  moved,         // on a port that the drawing leaves free
  empty,         // battery
  weak,          // battery: aged; motor: worn; load: gives little
  blown,         // fuse
  tripped,       // breaker, resettable
  dead,          // does nothing
  stuck_on,      // port: drives without being told
  stuck_open,    // contact
  stuck_closed,  // contact
  stuck,         // analogue sensor: stays at one value
  one_channel,   // encoder: one of the two is silent
  jammed,        // does not turn
  stiff,         // turns hard
  slipping,      // turns without taking the rest along
  wrong_type,    // another device than drawn
  misplaced,     // sensor: not where it can sense
  old,           // firmware
  other_names,   // program: built against other names or kinds
  stale,         // table: of another wiring
  sends_nothing,
  sends_little,
  sends_wrong_sign,
  sends_unasked,
  reads_wrongly,  // program: does the wrong thing with what the input says
};

// Modes that this part's kind can have; all that rows may be written for.
[[nodiscard]] std::span<const Mode> modes_of(PartKind kind);

enum class CheckKind {
  complaint,  // what was complained of; the model's symptom, never asked
  // by the bench
  link,
  supply_at_rest,
  firmware,
  program_names,
  table,
  inputs_at_rest,     // of one input: whether it says something that can be
  record,             // what earlier proving of the point found
  program_value,      // what the program really commands, and at which line it is; whether that is right, she tells
  supply_under_load,  // sag under the first small load
  bump,               // a small bounded motion on the point's drawn port
  sensor_response,    // of one input while the output that it watches is bumped
  // by a person
  operate,         // works the point once and looks
  look_indicator,  // of a protection
  look_wiring,     // of a point: frayed, broken, loose, jammed
  tug,
  meter_fuse,         // across it
  continuity_return,  // supply off: the return of a point
  meter_supply,       // at the board's terminal
  meter_feed,         // at the port's supply terminal, behind its protection
  meter_port,         // at the board's output under command
  meter_connector,    // at the device's end of the lead under command
  meter_device,       // supply off: ohms of the device
  meter_sensor_supply,
  continuity_wire,  // supply off: the sensor's lead
  watch_bump,       // looks while the bench bumps the point's port
  work_sensor,      // works a sensor by hand while the bench reads
  turn_by_hand,     // supply off
  look_link,        // another cable or computer port
  // by a person, where there is no link
  look_controller,  // the controller's own lights
  meter_signal,     // a sensor's voltage at its port, while it is worked
  swap_port,        // on a port that is known to work
  swap_device,      // a known-good device on the lead
  swap_sensor,
  unhook,  // the mechanism from its gear
};

// What one check may show. A check's outcomes are in the order of its list: as it should be first, then worse and
// worse.
enum class Shown {
  as_should,
  weak,
  at_times,
  wrong_way,
  other_device,    // draws what another device draws
  no_motion,       // draws as drawn, and its sensor says nothing
  held,            // draws far too much and does not move
  elsewhere,       // another point's sensor or device answers
  unasked,         // acts without being told
  nothing,         // neither current nor motion
  low,             // supply
  none,            // supply: none at all
  sags,            // supply: far more than drawn
  silent,          // does not answer, does not change
  one_channel,     // encoder: one of the two
  differs,         // from what this robot file asks for
  out_of_range,    // a value that cannot be
  never,           // no record
  out,             // tripped, blown, open: protection
  something_seen,  // loose, broken, unplugged
  not_drawn,       // in another socket, or of another type, than drawn
  blocked,         // something sits in the way; does not turn
  open_circuit,    // no continuity
  shorted,         // far too few ohms
  hard,            // turns hard
  spins,           // turns without resistance, without taking the rest along
  stays_open,      // contact
  stays_closed,    // contact
  still_wrong,     // the same trouble after the exchange
  refused,         // the bench moves nothing, because the controller carries other firmware, names or another table
  no_link,         // the controller does not answer, so that the bench can tell nothing
};

enum class RepairKind {
  reset,       // push the breaker in, let the resettable one cool
  renew,       // put in a new one of the same type
  charge,      // the battery
  reconnect,   // plug in, tighten
  mend,        // a wire: new conductor or joint, and what it has blown
  turn_round,  // the two leads of one connector
  put_back,    // a lead on its own port again
  move_over,   // a lead to a spare port, drawn so in the robot file
  free,        // what jams
  ease,        // what rubs
  tighten,     // what slips
  adjust,      // a sensor's place
  load_table,  // seconds, no compiler
  load_firmware,
  rebuild,       // program against this robot file
  edit_program,  // one value or line
};

[[nodiscard]] std::string_view name_of(PartKind kind);  // "supply wire"
[[nodiscard]] std::string_view name_of(Mode mode);      // "wrong type"
[[nodiscard]] std::string_view name_of(CheckKind kind);
[[nodiscard]] std::string_view name_of(Shown shown);   // "no motion": id in files and JSON
[[nodiscard]] std::string_view words_of(Shown shown);  // "draws current and does not move"
[[nodiscard]] std::string_view name_of(RepairKind kind);

[[nodiscard]] std::vector<PartKind> all_part_kinds();
[[nodiscard]] std::vector<Mode> all_modes();
[[nodiscard]] std::vector<CheckKind> all_check_kinds();
[[nodiscard]] std::vector<RepairKind> all_repair_kinds();

}  // namespace ringout::faults
