// What a controller says about itself, as values of the host. The one place where wire records become host values is
// controller.cpp.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "base/instant.h"
#include "units/quantity.h"
#include "wire/messages.h"

namespace ringout::link {

struct Version {
  int major = 0;
  int minor = 0;
  int patch = 0;
  [[nodiscard]] std::string text() const;
};

// Answer to the hello.
struct Controller {
  Version protocol;  // patch unused
  Version firmware;
  std::uint32_t features = 0;  // of both ends
  std::array<std::uint8_t, 8> identity{};
  std::uint32_t board_fingerprint = 0;
  std::uint32_t program_fingerprint = 0;
  std::uint32_t table_fingerprint = 0;
  wire::TableState table_state = wire::TableState::none;
  int points = 0;
  int bridges = 0;
  int encoders = 0;
  int switches = 0;
  int adc_channels = 0;
  int window = 0;
  wire::ResetCause reset_cause = wire::ResetCause::unknown;

  [[nodiscard]] std::string identity_text() const;  // sixteen hexadecimal digits
};

struct AgentStatus {
  Voltage supply;
  wire::AgentState state = wire::AgentState::inhibited;
  std::uint32_t faults = 0;
  wire::StopCause stop_cause = wire::StopCause::none;
  int stop_port = wire::no_port;
  wire::ProgramState program = wire::ProgramState::none_loaded;
  int program_line = 0;
  wire::WaitKind wait = wire::WaitKind::nothing;
  int wait_point = wire::no_point;
  std::string step;
  int unused_stack = 0;
  int bad_frames = 0;
  int lost_bytes = 0;
  double load = 0.0;  // fraction of the controller's time
};

struct PointName {
  wire::PointKind kind = wire::PointKind::bridge_motor;
  std::string name;
};

struct Stopped {
  wire::StopCause cause = wire::StopCause::none;
  int port = wire::no_port;
};
struct BumpEnded {
  int port = wire::no_port;
  wire::StopCause cause = wire::StopCause::none;
  std::uint32_t clock_us = 0;
  Duration lasted;
};
struct ProgramChanged {
  wire::ProgramState state = wire::ProgramState::none_loaded;
  int line = 0;
};
using ControllerEvent = std::variant<Stopped, BumpEnded, ProgramChanged>;

[[nodiscard]] Controller controller_from(const wire::HelloReply& reply);
[[nodiscard]] BumpEnded bump_ended_from(const wire::BumpEndedEvent& event);
[[nodiscard]] AgentStatus status_from(const wire::StatusReply& reply);
template <std::uint16_t Capacity>
[[nodiscard]] std::string text_from(const wire::Text<Capacity>& text) {
  return std::string(text.chars, text.size);
}

}  // namespace ringout::link
