// The robot in time, without a controller: what the board's pins do goes in, what its pins see comes out.
// Seeded and reproducible: same robot, deviations, seed, commands and steps give the same bits. Indices are the board
// file's (robot::BoardPort::index). The deviations decide which device really sits on which port.
//
// Signs: positive duty on a port whose output is not drawn reversed moves its mechanism the positive way; an encoder
// that is not drawn reversed then has channel A leading channel B. Names in `deviations` must have passed
// check_deviations. What it leaves out: the ripple of PWM (a bridge is averaged over a step, in slow decay),
// regeneration through the diodes of a coasting bridge, the give of shafts, belts and stops (contact is rigid), a
// motor's heat in its magnets.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/instant.h"
#include "base/result.h"
#include "plant/bystander.h"
#include "plant/deviations.h"
#include "robot/robot.h"
#include "units/quantity.h"

namespace ringout::plant {

// What a bridge's pins ask for: duty in -1..1 (sign: direction at the port's terminals, board inversion already
// applied by the board port), and what the bridge does while not driving.
struct BridgeCommand {
  double duty = 0.0;
  robot::Off when_off = robot::Off::coast;
};

// One change of an encoder pin within the last step.
struct Edge {
  Duration offset;  // from the start of the step
  std::uint8_t encoder = 0;
  bool channel_b = false;
  bool level = false;
};

// The true state, for tests, records and the bystander; never for an estimator.
struct MotorTruth {
  std::string point;      // drawn name of the output this device belongs to
  double position = 0.0;  // mechanism's own unit, SI
  double speed = 0.0;
  double current = 0.0;  // A
  bool at_low_stop = false;
  bool at_high_stop = false;
  int hard_stop_hits = 0;  // how often it has run into a stop
};
struct Truth {
  std::vector<MotorTruth> motors;
  double battery_volts = 0.0;
  double battery_amperes = 0.0;
  double energy_in = 0.0;            // J, from the battery's source since the start
  double energy_lost = 0.0;          // J, as heat, everywhere
  double energy_stored = 0.0;        // J, kinetic, potential, magnetic, relative to the start
  std::vector<std::string> tripped;  // protections that are open
};

class Plant {
 public:
  Plant(const robot::Robot& drawn, const Deviations& deviations, std::uint64_t seed);
  ~Plant();
  Plant(Plant&&) noexcept;
  Plant& operator=(Plant&&) noexcept;

  void command(std::uint8_t bridge, BridgeCommand command);
  // Advances by dt (0 < dt ≤ 1 ms; longer asserts).
  void step(Duration dt);
  [[nodiscard]] Instant now() const;

  [[nodiscard]] std::span<const Edge> edges() const;  // of the last step, in time order
  [[nodiscard]] bool encoder_level(std::uint8_t encoder, bool channel_b) const;
  [[nodiscard]] bool switch_level(std::uint8_t switch_port) const;  // pin level; inputs have pull-ups: closed is low
  [[nodiscard]] Voltage adc_pin(std::uint8_t adc_channel) const;    // at the chip's pin, noise included
  [[nodiscard]] bool controller_powered() const;

  // The bystander's hands and eyes.
  void work_by_hand(const std::string& input, bool on);
  void open_disconnect(bool open);
  [[nodiscard]] Result<void> reset_breaker(const std::string& name);
  [[nodiscard]] std::vector<Seen> look();

  [[nodiscard]] Truth truth() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace ringout::plant
