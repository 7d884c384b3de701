// What the chip's pins see of the mechanism: encoder edges within a step, switches that bounce, voltages with noise.
#pragma once

#include <cstdint>
#include <vector>

#include "plant/chance.h"
#include "plant/plant.h"

namespace ringout::plant {

// Two channels in quadrature: on positive motion channel A leads channel B (A rises while B is low). The four edges of
// a line are not quite evenly spaced, as on a real disc. A channel that is dead or cut stays high (pull-up).
struct EncoderState {
  std::uint8_t port = 0;
  int axis = -1;  // whose shaft, -1: none
  bool on_rotor = false;
  double counts_per_radian = 0.0;  // signed: reversed where the channels are exchanged
  bool dead_a = false, dead_b = false, silent = false;
  std::int64_t quarter = 0;
  double counts = 0.0;   // where the shaft stands, in counts
  double by_hand = 0.0;  // counts added by a person's hand
  bool worked = false;
  bool shown_a = true, shown_b = true;

  void start(double shaft);
  // Appends this step's edges in time order.
  void step(double shaft, Duration dt, bool connected, std::vector<Edge>& edges);

 private:
  void show(bool connected, Duration at, std::vector<Edge>& edges);
};

struct SwitchState {
  enum class Trigger { none, low_end, high_end };
  std::uint8_t port = 0;
  bool inverted_port = false;
  int axis = -1;
  Trigger trigger = Trigger::none;
  double trips_at = 0.0, releases_at = 0.0;  // rad of the output shaft
  bool normally_closed = false;
  bool silent = false;
  bool stuck = false;  // contact welded
  double bounce_s = 0.0;
  bool worked = false;
  bool by_mechanism = false;
  bool pressed = false;
  double bouncing = 0.0;

  void step(double shaft, double dt);
  // True where the contact pulls the pin low now; `chance` decides while it bounces.
  [[nodiscard]] bool closed(bool connected, std::uint64_t chance) const;
};

struct AnalogueState {
  std::uint8_t adc = 0;
  int axis = -1;
  bool on_rotor = false;
  bool distance = false;
  bool falling = false;
  bool silent = false;
  bool stuck = false;  // at one value
  bool open = false;   // the wire, now
  bool worked = false;
  double low_value = 0.0, high_value = 1.0, low_volts = 0.0, high_volts = 5.0;
  double per_radian = 1.0;  // measured unit per radian of the shaft
  double noise = 0.0;
  double divider = 1.0;
  double refresh = 0.0, held = 0.0;

  // The sensor's own voltage for where its shaft stands; a range sensor answers in steps of its own.
  void step(double shaft, double dt);
  [[nodiscard]] double volts(double shaft) const;
};

// Noise of one reading at a pin: bell-shaped with now and then a spike of 25 times its size.
[[nodiscard]] double pin_noise(double rms, std::uint64_t bits);

}  // namespace ringout::plant
