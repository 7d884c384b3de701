// Reading requests and answering them; the template parts of Agent, for its own sources only.
#pragma once

#include "agent/agent.h"

namespace ringout {
namespace agent {

// Reads a request's payload, or refuses the frame.
template <class Record>
bool Agent::read(const wire::Frame& frame, Record& record) {
  if (wire::decode(frame.payload, frame.size, record)) return true;
  refuse(frame, wire::Status::too_short, frame.size);
  return false;
}

// Answers with a record that starts with a ReplyHeader; its status and detail are the caller's.
template <class Record>
void Agent::reply(const wire::Frame& frame, Record& record) {
  record.header.consumed = consumed_;
  record.header.clock_us = clock();
  const uint8_t type = wire::reply_type(frame.type);
  const uint16_t size = wire::build(builder_, type, frame.tag, record);
  if (size == 0 || board_.transmit_room(board_.context) < size) return;  // the host asks again
  board_.transmit(board_.context, builder_.bytes(), size);
}

}  // namespace agent
}  // namespace ringout
