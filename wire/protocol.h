// Numbers of the wire that both ends hold to: version, frame types, sizes, time limits. docs/wire.md is the reference.
#pragma once

#include <stdint.h>

namespace ringout {
namespace wire {

// A host refuses an agent of a newer major version; a newer minor only adds fields at tails and feature bits.
constexpr uint8_t protocol_major = 1;
constexpr uint8_t protocol_minor = 0;

enum Feature : uint32_t {
  feature_table = 1u << 0,    // point table can be loaded and read
  feature_motion = 1u << 1,   // drive and bump
  feature_program = 1u << 2,  // a team's program is built in
  feature_stream = 1u << 3,   // sample stream
};

constexpr uint16_t max_frame_bytes = 128;                        // decoded: type, tag, payload, check
constexpr uint16_t max_payload_bytes = max_frame_bytes - 2 - 4;  // 122
constexpr uint16_t max_encoded_bytes = max_frame_bytes + 2;      // one COBS code byte and the closing zero
constexpr uint16_t reply_header_bytes = 9;                       // status, detail, consumed, clock
constexpr uint16_t max_table_chunk = 96;                         // bytes in one table_chunk or table_read
constexpr uint16_t max_name_bytes = 40;                          // a point's name, UTF-8, no closing zero
constexpr uint16_t max_step_bytes = 24;                          // a program step's name

// Points of one robot, outputs first, each in the robot file's order.
constexpr uint8_t max_points = 64;
constexpr uint8_t no_point = 0xFF;
constexpr uint8_t no_port = 0xFF;

enum FrameType : uint8_t {
  type_hello = 0x01,
  type_status = 0x02,
  type_point_name = 0x03,
  type_table_begin = 0x04,
  type_table_chunk = 0x05,
  type_table_commit = 0x06,
  type_table_read = 0x07,
  type_clear_faults = 0x08,
  type_last_bump = 0x09,
  type_permit = 0x10,
  type_hold = 0x11,
  type_drive = 0x12,
  type_bump = 0x13,
  type_program_start = 0x14,
  type_program_stop = 0x15,
  type_release = 0x16,
  type_stop = 0x1F,
  type_stream = 0x20,
  type_reply_bit = 0x80,  // reply type = request type | this
  type_sample = 0xC0,     // 0xC0..0xCF carry CRC-16, all others CRC-32
  type_stopped = 0xD0,
  type_bump_ended = 0xD1,
  type_program_event = 0xD2,
};

constexpr uint8_t reply_type(uint8_t request) {
  return static_cast<uint8_t>(request | 0x80);
}
constexpr bool is_sample(uint8_t type) {
  return (type & 0xF0) == type_sample;
}

// Times that host and agent agree on.
constexpr uint16_t hold_period_ms = 10;   // the host sends a hold this often while it wants motion
constexpr uint16_t hold_lapse_ms = 30;    // outputs off this long after the last valid hold or motion frame
constexpr uint16_t permit_idle_ms = 500;  // with nothing moving, a permission without any hold lapses after this
constexpr uint16_t watchdog_ms = 60;      // the chip resets when the agent's tick has not run for this long
constexpr uint16_t off_in_time_ms = 100;  // the promise: off this long after the last word from the host
constexpr uint16_t stream_period_min_ms = 1;
constexpr uint16_t stream_period_max_ms = 1000;
constexpr uint32_t max_frame_life_us = 250000;  // not_after further ahead than this is refused (out_of_bounds)

static_assert(hold_lapse_ms >= 2 * hold_period_ms, "one lost hold must not stop the machine");
static_assert(hold_lapse_ms * 10 + watchdog_ms * 11 < off_in_time_ms * 10, "hold plus watchdog (+10 %) within 100 ms");

// The stop frame, type 0x1F, tag 0, empty payload, encoded: the receive interrupt matches exactly these bytes. Its
// first byte occurs nowhere else in it, so that a simple matcher finds it after any garbage.
constexpr uint8_t stop_frame_bytes = 8;
constexpr uint8_t stop_frame_byte(uint8_t i) {
  return i == 0   ? 0x02
         : i == 1 ? 0x1F
         : i == 2 ? 0x05
         : i == 3 ? 0x61
         : i == 4 ? 0x1C
         : i == 5 ? 0x83
         : i == 6 ? 0x8C
                  : 0x00;
}

}  // namespace wire
}  // namespace ringout
