// Requests that move nothing: hello, status, names, the point table, the sample stream.
#include "agent/agent.h"
#include "agent/replies.h"

namespace ringout {
namespace agent {

using wire::Frame;
using wire::Status;
using wire::StopCause;

namespace {

// A reply that is only its header.
struct Plain {
  wire::ReplyHeader header;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    wire::ReplyHeader::fields(c, m.header);
  }
};

}  // namespace

// Takes some bytes from the receive ring; only as long as an answer would find room, so that none is lost here.
void Agent::take_bytes() {
  const uint8_t lost = receive_.lost();
  if (lost != lost_seen_) {
    lost_bytes_ = static_cast<uint16_t>(lost_bytes_ + static_cast<uint8_t>(lost - lost_seen_));
    lost_seen_ = lost;
    faults_ |= wire::fault_receive_overrun;
  }
  if (board_.transmit_room(board_.context) < wire::max_encoded_bytes) return;
  for (uint16_t i = 0; i < receive_bytes_per_tick; ++i) {
    uint8_t byte;
    if (!receive_.take(byte)) return;
    consumed_ = static_cast<uint16_t>(consumed_ + 1);
    switch (decoder_.push(byte)) {
      case wire::FrameDecoder::Event::nothing:
        break;
      case wire::FrameDecoder::Event::frame:
        handle(decoder_.frame());
        if (clock() - now_us_ > frames_time_us) return;  // several frames at once must not make the tick late
        if (board_.transmit_room(board_.context) < wire::max_encoded_bytes) return;
        break;
      case wire::FrameDecoder::Event::damaged:
        bad_frames_ = static_cast<uint16_t>(bad_frames_ + 1);
        break;
    }
  }
}

void Agent::handle(const Frame& frame) {
  switch (frame.type) {
    case wire::type_hello:
      return say_hello(frame);
    case wire::type_status:
      return say_status(frame);
    case wire::type_point_name:
      return say_name(frame);
    case wire::type_table_begin:
      return begin_table(frame);
    case wire::type_table_chunk:
      return take_chunk(frame);
    case wire::type_table_commit:
      return commit_table(frame);
    case wire::type_table_read:
      return say_table(frame);
    case wire::type_last_bump:
      return say_last_bump(frame);
    case wire::type_clear_faults:
      return clear_faults(frame);
    case wire::type_permit:
      return permit(frame);
    case wire::type_hold:
      return hold(frame);
    case wire::type_drive:
      return drive(frame);
    case wire::type_bump:
      return bump(frame);
    case wire::type_program_start:
      return start_program(frame);
    case wire::type_program_stop:
      return stop_program(frame);
    case wire::type_release:
      return release(frame);
    case wire::type_stop:
      stop_all(StopCause::host_stop, wire::no_port);
      return refuse(frame, Status::ok);
    case wire::type_stream:
      return set_stream(frame);
    default:
      refuse(frame, Status::unknown_type, frame.type);
  }
}

// A reply without a record: refusals, and requests that only say ok.
void Agent::refuse(const Frame& frame, Status status, uint16_t detail) {
  Plain plain;
  plain.header.status = status;
  plain.header.detail = detail;
  reply(frame, plain);
}

void Agent::say_hello(const Frame& frame) {
  wire::Hello hello;
  if (!read(frame, hello)) return;
  stop_all(StopCause::hello, wire::no_port);
  stream_ = wire::Stream();
  consumed_ = 0;
  wire::HelloReply answer;
  answer.features = wire::feature_table | wire::feature_motion | wire::feature_stream;
  if (program_.state != wire::ProgramState::none_loaded) answer.features |= wire::feature_program;
  answer.firmware_major = firmware_.major;
  answer.firmware_minor = firmware_.minor;
  answer.firmware_patch = firmware_.patch;
  memcpy(answer.identity, identity_, sizeof identity_);
  answer.board_fp = firmware_.board_fp;
  answer.program_fp = firmware_.program_fp;
  answer.table_fp = table_.rules().valid() ? table_.rules().fingerprint() : 0;
  answer.table_state = static_cast<uint8_t>(table_.state());
  answer.points = firmware_.points;
  answer.bridges = board_.bridges;
  answer.encoders = board_.encoders;
  answer.switches = board_.switches;
  answer.adc_channels = board_.adc_channels;
  answer.window = receive_window;
  answer.reset_cause = static_cast<uint8_t>(reset_cause_);
  answer.nonce = hello.nonce;
  reply(frame, answer);
}

void Agent::say_status(const Frame& frame) {
  wire::StatusReply answer;
  const float mv = static_cast<float>(board_.adc_raw(board_.context, board_.supply_adc)) * board_.supply_mv_per_raw;
  // NOLINTNEXTLINE(bugprone-incorrect-roundings): never negative, and lround costs flash
  answer.supply_mv = mv < 65535.0f ? static_cast<uint16_t>(mv + 0.5f) : 65535;
  answer.state = static_cast<uint8_t>(state_);
  answer.faults = faults_;
  answer.stop_cause = static_cast<uint8_t>(stop_cause_);
  answer.stop_port = stop_port_;
  {
    const Lock lock(board_);
    answer.program_state = static_cast<uint8_t>(program_.state);
    answer.program_line = program_.line;
    answer.wait_kind = static_cast<uint8_t>(program_.wait);
    answer.wait_point = program_.wait_point;
    answer.step = program_.step;
  }
  answer.unused_stack = board_.unused_stack(board_.context);
  answer.bad_frames = bad_frames_;
  answer.lost_bytes = lost_bytes_;
  answer.load_permille = board_.load_permille(board_.context);
  reply(frame, answer);
}

void Agent::say_last_bump(const Frame& frame) {
  wire::LastBumpReply answer;
  answer.bump = bump_ended_;
  reply(frame, answer);
}

void Agent::say_name(const Frame& frame) {
  wire::PointNameRequest request;
  if (!read(frame, request)) return;
  if (request.point >= firmware_.points) return refuse(frame, Status::no_such_port);
  wire::PointNameReply answer;
  wire::PointKind kind = wire::PointKind::bus_device;
  answer.name.size =
      firmware_.point_name(firmware_.context, request.point, answer.name.chars, wire::max_name_bytes, &kind);
  answer.kind = static_cast<uint8_t>(kind);
  reply(frame, answer);
}

// ---- the point table ----------------------------------------------------------------------------------------------

void Agent::begin_table(const Frame& frame) {
  wire::TableBegin request;
  if (!read(frame, request)) return;
  if (moving()) return refuse(frame, Status::moving);
  stop_all(StopCause::table_changed, wire::no_port);
  refuse(frame, table_.begin(request, board_));
}

void Agent::take_chunk(const Frame& frame) {
  wire::TableChunk request;
  if (!read(frame, request)) return;
  refuse(frame, table_.chunk(request), request.offset);
}

// The table in use changes here, so permission ends here too, whatever was permitted since the beginning.
void Agent::commit_table(const Frame& frame) {
  if (moving()) return refuse(frame, Status::moving);
  stop_all(StopCause::table_changed, wire::no_port);
  const Status status = table_.commit();
  refuse(frame, status, status == Status::table_refused_content ? table_.refused_entry() : 0);
}

void Agent::say_table(const Frame& frame) {
  wire::TableRead request;
  if (!read(frame, request)) return;
  uint8_t bytes[wire::max_table_chunk];
  if (request.length > wire::max_table_chunk) {
    return refuse(frame, Status::out_of_bounds, static_cast<uint16_t>(wire::Bound::length));
  }
  if (!board_.eeprom_ready(board_.context)) return refuse(frame, Status::busy);
  if (!table_.read(board_, request.offset, request.length, bytes)) {
    const bool none = !table_.in_use();
    return refuse(frame, none ? Status::no_table : Status::out_of_bounds,
                  none ? 0 : static_cast<uint16_t>(wire::Bound::offset));
  }
  wire::TableReadReply answer;
  answer.offset = request.offset;
  answer.bytes.bytes = bytes;
  answer.bytes.size = request.length;
  reply(frame, answer);
}

void Agent::set_stream(const Frame& frame) {
  wire::Stream request;
  if (!read(frame, request)) return;
  if (request.period_ms > wire::stream_period_max_ms) {
    return refuse(frame, Status::out_of_bounds, static_cast<uint16_t>(wire::Bound::period));
  }
  stream_ = request;
  stream_.content = static_cast<uint16_t>(stream_.content & wire::sample_all);
  sample_wait_ms_ = 0;
  refuse(frame, Status::ok);
}

}  // namespace agent
}  // namespace ringout
