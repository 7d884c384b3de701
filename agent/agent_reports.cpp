// What the agent says unasked: events and the sample stream.
#include "agent/agent.h"

namespace ringout {
namespace agent {

// False: no room now; it is tried again in the next tick.
template <class Record>
bool Agent::send_event(const Record& record) {
  const uint16_t size = wire::build(builder_, Record::type, 0, record);
  if (board_.transmit_room(board_.context) < size) return false;
  board_.transmit(board_.context, builder_.bytes(), size);
  return true;
}

// One event of each kind is kept; a newer one takes the place of one that could not be sent.
void Agent::report() {
  if (bump_ended_due_) bump_ended_due_ = !send_event(bump_ended_);
  if (stopped_due_) stopped_due_ = !send_event(stopped_);
  if (program_due_) {
    wire::ProgramEvent event;
    event.state = static_cast<uint8_t>(program_.state);
    event.line = program_.line;
    program_due_ = !send_event(event);
  }
  if (stream_.period_ms == 0) return;
  sample_wait_ms_ = static_cast<uint16_t>(sample_wait_ms_ + 1);
  if (sample_wait_ms_ < stream_.period_ms) return;
  sample_wait_ms_ = 0;
  send_sample();
}

// A sample that finds no room is left out, and the gap in the sequence says so. Room for one reply stays free.
void Agent::send_sample() {
  wire::SampleHead head;
  head.sequence = sample_sequence_;
  head.clock_us = clock();
  sample_sequence_ = static_cast<uint16_t>(sample_sequence_ + 1);
  wire::Writer to = builder_.begin(wire::type_sample, 0);
  wire::encode(to, head);
  if ((stream_.content & wire::sample_levels) != 0) {
    for (uint8_t i = 0; i < board_.bridges; ++i) to.i16(outputs_.applied(i));
  }
  if ((stream_.content & wire::sample_encoders) != 0) {
    for (uint8_t i = 0; i < board_.encoders; ++i) {
      to.u16(static_cast<uint16_t>(static_cast<uint32_t>(board_.encoder_count(board_.context, i)) & 0xFFFF));
    }
  }
  if ((stream_.content & wire::sample_switches) != 0) to.u16(board_.switch_levels(board_.context));
  if ((stream_.content & wire::sample_adc) != 0) {
    for (uint8_t i = 0; i < board_.adc_channels; ++i) to.u16(board_.adc_raw(board_.context, i));
  }
  if ((stream_.content & wire::sample_state) != 0) to.u8(static_cast<uint8_t>(state_));
  const uint16_t size = builder_.close(to);
  if (board_.transmit_room(board_.context) < size + wire::max_encoded_bytes) return;
  board_.transmit(board_.context, builder_.bytes(), size);
}

}  // namespace agent
}  // namespace ringout
