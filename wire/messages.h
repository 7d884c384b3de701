// The payloads of all frames. Each record names its fields once, in the order of the bytes; the same definition writes
// and reads them on both ends. A payload longer than its record is accepted and the tail ignored (a newer sender), a
// shorter one is refused. Fields are only ever added at the end.
#pragma once

#include <stdint.h>

#include "wire/bytes.h"
#include "wire/codes.h"
#include "wire/frame.h"
#include "wire/protocol.h"

namespace ringout {
namespace wire {

// Writes a record's fields.
template <class Record>
void encode(Writer& to, const Record& record) {
  Record::fields(to, record);
}

// Reads a record; false where the payload is too short or a text too long.
template <class Record>
bool decode(const uint8_t* payload, uint16_t size, Record& record) {
  Reader from(payload, size);
  Record::fields(from, record);
  return from.ok();
}

// ---- requests: host to agent --------------------------------------------------------------------------------------

struct Hello {
  enum : uint8_t { type = type_hello };
  uint8_t major = protocol_major;
  uint8_t minor = protocol_minor;
  uint32_t features = 0;  // what the host can use
  uint32_t nonce = 0;     // comes back in the reply
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.major);
    c.u8(m.minor);
    c.u32(m.features);
    c.u32(m.nonce);
  }
};

// A request without a payload.
template <uint8_t Type>
struct Plain {
  enum : uint8_t { type = Type };
  template <class Codec, class Self>
  static void fields(Codec&, Self&) {}
};
using StatusRequest = Plain<type_status>;
using TableCommit = Plain<type_table_commit>;
using ClearFaults = Plain<type_clear_faults>;
using LastBumpRequest = Plain<type_last_bump>;
using ProgramStop = Plain<type_program_stop>;
using Stop = Plain<type_stop>;

struct PointNameRequest {
  enum : uint8_t { type = type_point_name };
  uint8_t point = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.point);
  }
};

struct TableBegin {
  enum : uint8_t { type = type_table_begin };
  uint16_t length = 0;  // of the whole table, its check included
  uint32_t crc = 0;     // the table's own check: CRC-32 of all bytes before it
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u16(m.length);
    c.u32(m.crc);
  }
};

struct TableChunk {
  enum : uint8_t { type = type_table_chunk };
  uint16_t offset = 0;
  Rest bytes;  // at most max_table_chunk
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u16(m.offset);
    c.rest(m.bytes);
  }
};

struct TableRead {
  enum : uint8_t { type = type_table_read };
  uint16_t offset = 0;
  uint8_t length = 0;  // at most max_table_chunk
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u16(m.offset);
    c.u8(m.length);
  }
};

struct Permit {
  enum : uint8_t { type = type_permit };
  uint32_t nonce = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u32(m.nonce);
  }
};

// Starts every frame that can cause motion.
struct MotionHeader {
  uint32_t token = 0;
  uint32_t sequence = 0;      // strictly increasing within a token
  uint32_t not_after_us = 0;  // agent's clock
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u32(m.token);
    c.u32(m.sequence);
    c.u32(m.not_after_us);
  }
};

struct Hold {
  enum : uint8_t { type = type_hold };
  MotionHeader motion;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    MotionHeader::fields(c, m.motion);
  }
};

struct Drive {
  enum : uint8_t { type = type_drive };
  MotionHeader motion;
  uint8_t port = 0;            // bridge
  int16_t level_permille = 0;  // of the supply, sign at the port's terminals
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    MotionHeader::fields(c, m.motion);
    c.u8(m.port);
    c.i16(m.level_permille);
  }
};

struct Bump {
  enum : uint8_t { type = type_bump };
  MotionHeader motion;
  uint8_t port = 0;
  int16_t level_permille = 0;
  uint16_t slope_permille_per_ms = 0;  // up and, at the end of the duration, down again
  uint16_t duration_ms = 0;            // both ramps included
  uint16_t encoder_allowance = 0;      // counts from the start of the bump, any encoder
  uint16_t analogue_allowance = 0;     // raw from the start of the bump, any analogue port that is a point
  uint16_t allowed_switches = 0;       // bit per switch port that may change
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    MotionHeader::fields(c, m.motion);
    c.u8(m.port);
    c.i16(m.level_permille);
    c.u16(m.slope_permille_per_ms);
    c.u16(m.duration_ms);
    c.u16(m.encoder_allowance);
    c.u16(m.analogue_allowance);
    c.u16(m.allowed_switches);
  }
};

struct ProgramStart {
  enum : uint8_t { type = type_program_start };
  MotionHeader motion;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    MotionHeader::fields(c, m.motion);
  }
};

struct Release {
  enum : uint8_t { type = type_release };
  uint32_t token = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u32(m.token);
  }
};

struct Stream {
  enum : uint8_t { type = type_stream };
  uint16_t period_ms = 0;  // 0: off
  uint16_t content = 0;    // SampleContent bits
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u16(m.period_ms);
    c.u16(m.content);
  }
};

// ---- replies: agent to host ---------------------------------------------------------------------------------------

// Starts every reply; a refusal ends here.
struct ReplyHeader {
  Status status = Status::ok;
  uint16_t detail = 0;
  uint16_t consumed = 0;  // bytes the agent has taken from its receive ring since the hello, mod 65536
  uint32_t clock_us = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    code(c, m.status);
    c.u16(m.detail);
    c.u16(m.consumed);
    c.u32(m.clock_us);
  }

 private:
  static void code(Writer& c, const Status& s) { c.u8(static_cast<uint8_t>(s)); }
  static void code(Reader& c, Status& s) {
    uint8_t v;
    c.u8(v);
    s = static_cast<Status>(v);
  }
};

// Codes stay bytes in the records below; a newer agent may send values that this version does not know.
struct HelloReply {
  ReplyHeader header;
  uint8_t major = protocol_major;
  uint8_t minor = protocol_minor;
  uint32_t features = 0;
  uint8_t firmware_major = 0;
  uint8_t firmware_minor = 0;
  uint8_t firmware_patch = 0;
  uint8_t identity[8] = {};
  uint32_t board_fp = 0;
  uint32_t program_fp = 0;
  uint32_t table_fp = 0;    // 0: no valid table
  uint8_t table_state = 0;  // TableState
  uint8_t points = 0;       // names that the program was built against
  uint8_t bridges = 0;
  uint8_t encoders = 0;
  uint8_t switches = 0;
  uint8_t adc_channels = 0;
  uint16_t window = 0;      // most bytes that may be on the way
  uint8_t reset_cause = 0;  // ResetCause
  uint32_t nonce = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    ReplyHeader::fields(c, m.header);
    c.u8(m.major);
    c.u8(m.minor);
    c.u32(m.features);
    c.u8(m.firmware_major);
    c.u8(m.firmware_minor);
    c.u8(m.firmware_patch);
    c.array(m.identity);
    c.u32(m.board_fp);
    c.u32(m.program_fp);
    c.u32(m.table_fp);
    c.u8(m.table_state);
    c.u8(m.points);
    c.u8(m.bridges);
    c.u8(m.encoders);
    c.u8(m.switches);
    c.u8(m.adc_channels);
    c.u16(m.window);
    c.u8(m.reset_cause);
    c.u32(m.nonce);
  }
};

struct StatusReply {
  ReplyHeader header;
  uint16_t supply_mv = 0;
  uint8_t state = 0;  // AgentState
  uint32_t faults = 0;
  uint8_t stop_cause = 0;  // StopCause of the last stop
  uint8_t stop_port = no_port;
  uint8_t program_state = 0;  // ProgramState
  uint16_t program_line = 0;
  uint8_t wait_kind = 0;  // WaitKind
  uint8_t wait_point = no_point;
  Text<max_step_bytes> step;
  uint16_t unused_stack = 0;  // bytes never touched since the reset
  uint16_t bad_frames = 0;
  uint16_t lost_bytes = 0;     // receive overruns
  uint16_t load_permille = 0;  // share of time spent in the tick and its interrupts
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    ReplyHeader::fields(c, m.header);
    c.u16(m.supply_mv);
    c.u8(m.state);
    c.u32(m.faults);
    c.u8(m.stop_cause);
    c.u8(m.stop_port);
    c.u8(m.program_state);
    c.u16(m.program_line);
    c.u8(m.wait_kind);
    c.u8(m.wait_point);
    c.text(m.step);
    c.u16(m.unused_stack);
    c.u16(m.bad_frames);
    c.u16(m.lost_bytes);
    c.u16(m.load_permille);
  }
};

struct PointNameReply {
  ReplyHeader header;
  uint8_t kind = 0;  // PointKind
  Text<max_name_bytes> name;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    ReplyHeader::fields(c, m.header);
    c.u8(m.kind);
    c.text(m.name);
  }
};

struct TableReadReply {
  ReplyHeader header;
  uint16_t offset = 0;
  Rest bytes;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    ReplyHeader::fields(c, m.header);
    c.u16(m.offset);
    c.rest(m.bytes);
  }
};

struct PermitReply {
  ReplyHeader header;
  uint32_t token = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    ReplyHeader::fields(c, m.header);
    c.u32(m.token);
  }
};

// ---- events and samples: agent to host, tag 0 ---------------------------------------------------------------------

struct StoppedEvent {
  enum : uint8_t { type = type_stopped };
  uint8_t cause = 0;  // StopCause
  uint8_t port = no_port;
  uint32_t clock_us = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.cause);
    c.u8(m.port);
    c.u32(m.clock_us);
  }
};

struct BumpEndedEvent {
  enum : uint8_t { type = type_bump_ended };
  uint8_t port = no_port;
  uint8_t cause = 0;
  uint32_t clock_us = 0;
  uint16_t duration_ms = 0;  // how long it really lasted
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.port);
    c.u8(m.cause);
    c.u32(m.clock_us);
    c.u16(m.duration_ms);
  }
};

// The same about the last bump, for a host whose line lost the event. no_port: none since the reset.
struct LastBumpReply {
  ReplyHeader header;
  BumpEndedEvent bump;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    ReplyHeader::fields(c, m.header);
    BumpEndedEvent::fields(c, m.bump);
  }
};

struct ProgramEvent {
  enum : uint8_t { type = type_program_event };
  uint8_t state = 0;  // ProgramState
  uint16_t line = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.state);
    c.u16(m.line);
  }
};

// Head of a sample; what follows is said by the stream's content and the port counts of the hello.
struct SampleHead {
  enum : uint8_t { type = type_sample };
  uint16_t sequence = 0;
  uint32_t clock_us = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u16(m.sequence);
    c.u32(m.clock_us);
  }
};

// Most ports of each kind that a sample of one frame can carry.
constexpr uint8_t max_bridges = 16;
constexpr uint8_t max_encoders = 8;
constexpr uint8_t max_switches = 16;
constexpr uint8_t max_adc_channels = 16;
static_assert(6 + 2 * max_bridges + 2 * max_encoders + 2 + 2 * max_adc_channels + 1 <= max_payload_bytes,
              "a full sample fits one frame");

// Writes one record as a frame; returns the bytes at builder.bytes().
template <class Record>
uint16_t build(FrameBuilder& builder, uint8_t type, uint8_t tag, const Record& record) {
  Writer payload = builder.begin(type, tag);
  encode(payload, record);
  return builder.close(payload);
}

}  // namespace wire
}  // namespace ringout
