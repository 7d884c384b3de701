// Closed sets of one-byte codes that both ends share; words for people live on the host.
#pragma once

#include <stdint.h>

namespace ringout {
namespace wire {

// Outcome of a request; first byte of every reply.
enum class Status : uint8_t {
  ok = 0,
  unknown_type = 1,
  too_short = 2,      // payload shorter than this version knows; detail: bytes that were there
  no_permission = 3,  // no live permission
  wrong_token = 4,
  old_sequence = 5,          // detail: low 16 bits of the last sequence taken
  too_late = 6,              // not_after has passed; detail: ms late, at most 65535
  out_of_bounds = 7,         // detail: which bound (Bound)
  no_such_port = 8,          // or no such point
  busy = 9,                  // try again in a while
  table_refused_names = 10,  // built for other names and kinds than this firmware's program
  table_refused_check = 11,  // bytes damaged or not what was announced
  table_refused_version = 12,
  inhibited = 13,       // not until its cause is gone: outputs are not permitted, faults not cleared; detail: StopCause
  faults_latched = 14,  // detail: low 16 bits of the latched faults
  not_supported = 15,
  table_refused_board = 16,
  no_table = 17,               // nothing moves without a valid table
  moving = 18,                 // not while outputs are on; release or stop first
  end_reached = 19,            // an end switch or travel bound lies in that direction; detail: StopCause
  table_refused_content = 20,  // an entry contradicts the board or another; detail: entry, 255 the header
};

// Detail of out_of_bounds.
enum class Bound : uint8_t {
  none = 0,
  level = 1,
  duration = 2,
  slope = 3,
  life = 4,
  offset = 5,
  length = 6,
  period = 7
};

// Why outputs went off.
enum class StopCause : uint8_t {
  none = 0,
  host_stop = 1,
  hold_lapsed = 2,
  released = 3,
  supply_low = 4,
  end_switch = 5,
  travel_bound = 6,
  duration_over = 7,
  late_frame = 8,  // kept for a later version: this one refuses late frames and lets the hold lapse
  watchdog = 9,
  table_changed = 10,
  program_ended = 11,
  program_stopped = 12,
  bank_current = 13,
  bug = 14,
  hello = 15,        // a host said hello: permission starts from nothing
  after_reset = 16,  // nothing has been permitted since the controller started
};

// Bits of the latched faults; kept until clear_faults.
enum Fault : uint32_t {
  fault_supply_low = 1u << 0,
  fault_bank_current = 1u << 1,
  fault_watchdog = 1u << 2,   // the last reset came from the watchdog
  fault_brown_out = 1u << 3,  // the last reset came from the supply
  fault_receive_overrun = 1u << 4,
  fault_eeprom = 1u << 5,        // a stored table failed its check
  fault_bug = 1u << 6,           // an assertion failed; detail in the stop cause
  fault_tick_overrun = 1u << 7,  // the tick took longer than its period
};
// With one of these latched no permission is given.
constexpr uint32_t faults_that_inhibit = fault_bank_current | fault_bug;

enum class AgentState : uint8_t {
  inhibited = 0,  // outputs held off
  permitted = 1,  // outputs may move
  bumping = 2,
  program = 3,  // the team's program drives
  halted = 4,   // an assertion failed; only a reset leaves this
};

enum class ProgramState : uint8_t { none_loaded = 0, ready = 1, running = 2, ended = 3, stopped = 4 };

enum class WaitKind : uint8_t { nothing = 0, time = 1, input = 2, condition = 3 };

enum class TableState : uint8_t {
  none = 0,
  valid = 1,
  refused_names = 2,
  refused_board = 3,
  damaged = 4,
  refused_version = 5,
  refused_content = 6,
};

enum class ResetCause : uint8_t { unknown = 0, power_on = 1, external = 2, brown_out = 3, watchdog = 4, debug = 5 };

// The order of robot::PointKind.
enum class PointKind : uint8_t {
  bridge_motor = 0,
  servo = 1,
  on_off = 2,
  light = 3,
  switch_input = 4,
  analogue = 5,
  encoder = 6,
  bus_device = 7,
};
constexpr bool is_output(PointKind kind) {
  return static_cast<uint8_t>(kind) <= 3;
}
constexpr bool uses_bridge(PointKind kind) {
  return kind == PointKind::bridge_motor || kind == PointKind::on_off;
}

// What a sample carries, in this order.
enum SampleContent : uint16_t {
  sample_levels = 1u << 0,    // i16 permille for each bridge
  sample_encoders = 1u << 1,  // i16, low 16 bits of the count, for each encoder
  sample_switches = 1u << 2,  // u16, bit per switch port: pin level
  sample_adc = 1u << 3,       // u16 raw for each channel
  sample_state = 1u << 4,     // u8 AgentState
  sample_all = 0x1F,
};

}  // namespace wire
}  // namespace ringout
