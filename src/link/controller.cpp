#include "link/controller.h"

#include <algorithm>
#include <iterator>

namespace ringout::link {

std::string Version::text() const {
  return std::to_string(major) + "." + std::to_string(minor) + "." + std::to_string(patch);
}

std::string Controller::identity_text() const {
  const char* const digits = "0123456789abcdef";
  std::string text;
  for (const std::uint8_t byte : identity) {
    text += digits[byte >> 4];
    text += digits[byte & 0x0F];
  }
  return text;
}

Controller controller_from(const wire::HelloReply& reply) {
  Controller c;
  c.protocol = {reply.major, reply.minor, 0};
  c.firmware = {reply.firmware_major, reply.firmware_minor, reply.firmware_patch};
  c.features = reply.features;
  std::copy(std::begin(reply.identity), std::end(reply.identity), c.identity.begin());
  c.board_fingerprint = reply.board_fp;
  c.program_fingerprint = reply.program_fp;
  c.table_fingerprint = reply.table_fp;
  c.table_state = static_cast<wire::TableState>(reply.table_state);
  c.points = reply.points;
  c.bridges = reply.bridges;
  c.encoders = reply.encoders;
  c.switches = reply.switches;
  c.adc_channels = reply.adc_channels;
  c.window = reply.window;
  c.reset_cause = static_cast<wire::ResetCause>(reply.reset_cause);
  return c;
}

BumpEnded bump_ended_from(const wire::BumpEndedEvent& event) {
  return {.port = event.port,
          .cause = static_cast<wire::StopCause>(event.cause),
          .clock_us = event.clock_us,
          .lasted = Duration::milliseconds(event.duration_ms)};
}

AgentStatus status_from(const wire::StatusReply& reply) {
  AgentStatus s;
  s.supply = volts(reply.supply_mv * 1e-3);
  s.state = static_cast<wire::AgentState>(reply.state);
  s.faults = reply.faults;
  s.stop_cause = static_cast<wire::StopCause>(reply.stop_cause);
  s.stop_port = reply.stop_port;
  s.program = static_cast<wire::ProgramState>(reply.program_state);
  s.program_line = reply.program_line;
  s.wait = static_cast<wire::WaitKind>(reply.wait_kind);
  s.wait_point = reply.wait_point;
  s.step = text_from(reply.step);
  s.unused_stack = reply.unused_stack;
  s.bad_frames = reply.bad_frames;
  s.lost_bytes = reply.lost_bytes;
  s.load = reply.load_permille * 1e-3;
  return s;
}

}  // namespace ringout::link
