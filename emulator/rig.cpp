// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/rig.h"

#include <algorithm>
#include <cmath>

namespace ringout::emulator {
namespace {

constexpr Cycles step_cycles = clock_hz / 1000;
constexpr Duration step_length = Duration::milliseconds(1);
constexpr std::uint8_t adc_channels = 8;

// 62.5 ns a cycle.
constexpr Instant instant_of(Cycles cycles) {
  return {static_cast<std::int64_t>(cycles * 125 / 2)};
}
constexpr Cycles cycles_of(std::int64_t ns) {
  return ns <= 0 ? 0 : static_cast<Cycles>((ns * 2 + 124) / 125);
}

tl::unexpected<Error> not_emulated(const std::string& why) {
  return failure(ErrorKind::bad_input, "emulator.board-not-emulated", why,
                 "the emulated controller is an ATmega2560 at 16 MHz; use the twin for other boards");
}

Result<std::vector<Pin>> pins_of(const robot::BoardPort& port, std::size_t wanted) {
  std::vector<Pin> pins;
  for (const std::string& name : port.pins) {
    const auto pin = pin_named(name);
    if (!pin) return not_emulated("port " + port.name + " names a pin " + name + " that the ATmega2560 does not have");
    pins.push_back(*pin);
  }
  if (pins.size() != wanted) {
    return not_emulated("port " + port.name + " has " + std::to_string(pins.size()) + " pins, not " +
                        std::to_string(wanted));
  }
  return pins;
}

std::size_t pins_for(robot::DriveMode drive) {
  return drive == robot::DriveMode::pwm_and_two_directions ? 3 : 2;
}

}  // namespace

Result<Wiring> wiring_of(const robot::Board& board) {
  if (board.chip != "atmega2560" || board.clock.si != clock_hz) {
    return not_emulated("board " + board.name + " has a " + board.chip + " at " + std::to_string(board.clock.si / 1e6) +
                        " MHz");
  }
  Wiring wiring;
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::bridge)) {
    auto pins = pins_of(*port, pins_for(port->drive));
    if (!pins) return tl::unexpected(pins.error());
    wiring.bridges.push_back({port->drive, std::move(*pins), port->inverted});
  }
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::encoder_input)) {
    const auto pins = pins_of(*port, 2);
    if (!pins) return tl::unexpected(pins.error());
    wiring.encoders.emplace_back((*pins)[0], (*pins)[1]);
  }
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::switch_input)) {
    const auto pins = pins_of(*port, 1);
    if (!pins) return tl::unexpected(pins.error());
    wiring.switches.push_back((*pins)[0]);
  }
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::analogue_input)) {
    const auto pins = pins_of(*port, 1);
    if (!pins) return tl::unexpected(pins.error());
    if (adc_channel_of((*pins)[0]).value_or(adc_channels) >= adc_channels) {
      return not_emulated("port " + port->name + " is on " + port->pins[0] +
                          "; the emulation converts PF0 to PF7 only");
    }
  }
  return wiring;
}

plant::BridgeCommand command_of(const BridgePins& bridge, std::span<const std::uint8_t> data) {
  plant::BridgeCommand command;
  switch (bridge.drive) {
    case robot::DriveMode::pwm_and_two_directions: {
      const bool forward = drives_high(bridge.pins[1], data), reverse = drives_high(bridge.pins[2], data);
      if (forward != reverse) command.duty = duty_of(bridge.pins[0], data) * (forward ? 1.0 : -1.0);
      if (forward && reverse) command.when_off = robot::Off::brake;
      break;
    }
    case robot::DriveMode::pwm_and_direction:
      command.duty = duty_of(bridge.pins[0], data) * (drives_high(bridge.pins[1], data) ? 1.0 : -1.0);
      break;
    case robot::DriveMode::two_pwm: {
      const double forward = duty_of(bridge.pins[0], data), reverse = duty_of(bridge.pins[1], data);
      command.duty = forward - reverse;
      if (forward == 1.0 && reverse == 1.0) command.when_off = robot::Off::brake;
      break;
    }
  }
  if (bridge.inverted) command.duty = -command.duty;
  return command;
}

Rig::Rig(const robot::Robot& drawn, const plant::Deviations& deviations, Wiring wiring, std::unique_ptr<Chip> chip)
    : plant_(drawn, deviations, deviations.seed), wiring_(std::move(wiring)), chip_(std::move(chip)) {
  for (const robot::Input& input : drawn.inputs) inputs_.push_back(input.name);
  step_end_ = chip_->now();
  for (std::size_t i = 0; i < wiring_.encoders.size(); ++i) {
    const auto encoder = static_cast<std::uint8_t>(i);
    chip_->set_pin(wiring_.encoders[i].first, plant_.encoder_level(encoder, false));
    chip_->set_pin(wiring_.encoders[i].second, plant_.encoder_level(encoder, true));
  }
  show_levels();
}

Instant Rig::now() const {
  return instant_of(chip_->now());
}

Result<void> Rig::write(std::span<const std::uint8_t> bytes) {
  chip_->receive(bytes);
  return {};
}

link::StreamEvent Rig::wait_until(Instant deadline) {
  const Cycles end = cycles_of(deadline.ns);
  while (true) {
    link::Arrived arrived;
    for (const SentByte& byte : chip_->take_sent()) {
      arrived.bytes.push_back(byte.value);
      arrived.at = instant_of(byte.at);
    }
    if (!arrived.bytes.empty()) return arrived;
    if (chip_->now() >= end) return link::DeadlinePassed{};
    if (chip_->now() >= step_end_) begin_step();
    chip_->run(std::min(end, step_end_), RunUntil::first_bytes);
  }
}

void Rig::begin_step() {
  const auto data = chip_->data();
  for (std::size_t i = 0; i < wiring_.bridges.size(); ++i) {
    plant_.command(static_cast<std::uint8_t>(i), command_of(wiring_.bridges[i], data));
  }
  plant_.step(step_length);
  follow_power();
  edges_.clear();
  for (const plant::Edge& edge : plant_.edges()) {
    const auto& pins = wiring_.encoders.at(edge.encoder);
    edges_.push_back({step_end_ + cycles_of(edge.offset.ns), edge.channel_b ? pins.second : pins.first, edge.level});
  }
  chip_->expect_edges(edges_);
  show_levels();
  step_end_ += step_cycles;
}

void Rig::follow_power() {
  const bool supplied = plant_.controller_powered();
  const bool wanted = supplied && step_end_ >= dark_until_;
  if (chip_->powered() == wanted) return;
  if (!wanted) {
    chip_->power_off();
    return;
  }
  // A supply that came back by itself had sagged; one that was cut is a new start.
  chip_->power_on(dark_until_ != 0 ? ResetCause::power_on : ResetCause::brown_out);
  dark_until_ = 0;
}

void Rig::show_levels() {
  for (std::size_t i = 0; i < wiring_.switches.size(); ++i) {
    chip_->set_pin(wiring_.switches[i], plant_.switch_level(static_cast<std::uint8_t>(i)));
  }
  for (std::uint8_t channel = 0; channel < adc_channels; ++channel) {
    const double millivolts = std::clamp(plant_.adc_pin(channel).si * 1000.0, 0.0, 5000.0);
    chip_->set_adc(channel, static_cast<std::uint32_t>(std::lround(millivolts)));
  }
}

Result<void> Rig::work_by_hand(const std::string& input, bool on) {
  if (std::find(inputs_.begin(), inputs_.end(), input) == inputs_.end()) {
    return failure(ErrorKind::bad_input, "emulator.unknown-input", "the robot has no input named " + input);
  }
  plant_.work_by_hand(input, on);
  return {};
}

Result<void> Rig::open_disconnect(bool open) {
  plant_.open_disconnect(open);
  return {};
}

Result<void> Rig::reset_breaker(const std::string& breaker) {
  return plant_.reset_breaker(breaker);
}

Result<std::vector<plant::Seen>> Rig::look() {
  return plant_.look();
}

void Rig::reset() {
  chip_->reset(ResetCause::external);
}

void Rig::cut_power(Duration length) {
  dark_until_ = chip_->now() + std::max<Cycles>(cycles_of(length.ns), 1);
  chip_->power_off();
}

}  // namespace ringout::emulator
