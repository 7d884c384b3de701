// SPDX-License-Identifier: GPL-3.0-or-later
// The emulated chip on its board in the robot: pins coupled to the plant, both in one virtual time.
//
// The plant goes first: at each whole millisecond the chip's pins are read, the plant makes one step of a millisecond
// with them, and the chip then runs through that millisecond while the step's encoder edges come at their moments. So
// the chip may stop anywhere in between, and where it stops changes nothing in the plant. What the chip commands
// reaches the motors at most a millisecond late; switches and voltages are those of the step's end.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "emulator/chip.h"
#include "link/timed_stream.h"
#include "plant/plant.h"
#include "robot/robot.h"

namespace ringout::emulator {

// The board's ports as pins of this chip.
struct BridgePins {
  robot::DriveMode drive = robot::DriveMode::pwm_and_two_directions;
  std::vector<Pin> pins;
  bool inverted = false;
};
struct Wiring {
  std::vector<BridgePins> bridges;
  std::vector<std::pair<Pin, Pin>> encoders;  // channels A and B
  std::vector<Pin> switches;
};
// Fails with emulator.board-not-emulated where the board has another chip or clock, or a port that this chip's
// emulation cannot serve.
[[nodiscard]] Result<Wiring> wiring_of(const robot::Board& board);
// What the pins ask the bridge for.
[[nodiscard]] plant::BridgeCommand command_of(const BridgePins& bridge, std::span<const std::uint8_t> data);

class Rig final : public link::TimedStream, public plant::Bystander {
 public:
  Rig(const robot::Robot& drawn, const plant::Deviations& deviations, Wiring wiring, std::unique_ptr<Chip> chip);

  Instant now() const override;
  Result<void> write(std::span<const std::uint8_t> bytes) override;
  link::StreamEvent wait_until(Instant deadline) override;
  link::StreamKind kind() const override { return link::StreamKind::simulated; }
  std::string name() const override { return "emulated"; }

  Result<void> work_by_hand(const std::string& input, bool on) override;
  Result<void> open_disconnect(bool open) override;
  Result<void> reset_breaker(const std::string& breaker) override;
  Result<std::vector<plant::Seen>> look() override;

  void reset();
  void cut_power(Duration length);  // the chip's own supply, from now on
  [[nodiscard]] plant::Truth truth() const { return plant_.truth(); }
  [[nodiscard]] Chip& chip() { return *chip_; }

 private:
  void begin_step();
  void follow_power();
  void show_levels();

  std::vector<std::string> inputs_;
  plant::Plant plant_;
  Wiring wiring_;
  std::unique_ptr<Chip> chip_;
  Cycles step_end_ = 0;
  Cycles dark_until_ = 0;
  std::vector<PinEdge> edges_;
};

}  // namespace ringout::emulator
