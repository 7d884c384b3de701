// What a Plant holds while it runs; private to the plant's own sources.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "plant/as_built.h"
#include "plant/plant.h"
#include "plant/sensors.h"
#include "plant/supply.h"

namespace ringout::plant {

constexpr std::size_t most_ports = 32;

// Lamp, pump, valve: a resistance that is low while it is cold or starting.
struct OnOffLoad {
  double conductance = 0.0;
  double inrush = 1.0;  // factor of current at the start
  double inrush_s = 0.0;
  double cold = 1.0;  // 1: cold, 0: at its steady current
  double current_limit = 1e300;
  double lost = 0.0;
  double nominal = 12.0;
};

struct Load {
  std::uint8_t bridge = 0;
  std::size_t node = 0;
  double polarity = 1.0;
  bool cut = false;            // open wire, dead winding or dead driver
  bool short_circuit = false;  // of the leads, beside the device
  int intermittence = -1;
  int axis = -1;
  int on_off = -1;
  int bank = -1;
  std::size_t output = 0;
  double applied = 0.0;  // volts at the device, mean of the step
  Draw draw;
};

struct Wavering {  // an intermittent contact
  double mean_open_s = 0.04, mean_closed_s = 0.1;
  bool open = false;
};

struct Sight {  // what a person saw of one output since the last look
  double from = 0.0, highest = 0.0, lowest = 0.0, seconds_on = 0.0;
  int first = 0;
};

struct Plant::State {
  State(const robot::Robot& robot, const Deviations& deviations, std::uint64_t chance_seed)
      : drawn(robot),
        built(as_built(drawn, deviations)),
        supply(drawn, built.state_of_charge, built.battery_resistance_factor),
        seed(mixed(chance_seed ^ mixed(deviations.seed))) {}

  void build(const Deviations& deviations);
  void build_output(std::size_t n, const Deviations& deviations);
  void build_short(Load load, const BuiltOutput& output);
  void build_input(const BuiltInput& input);
  void build_encoder(const BuiltInput& input);
  void build_switch(const BuiltInput& input);
  void build_analogue(const BuiltInput& input);
  [[nodiscard]] int waver(const std::optional<Intermittent>& intermittent);
  [[nodiscard]] double unit_per_radian(std::size_t output) const;
  [[nodiscard]] int axis_watched_by(const robot::Input& input) const;
  [[nodiscard]] bool connected(int wavering) const {
    return wavering < 0 || !waverings[static_cast<std::size_t>(wavering)].open;
  }
  void step_power(double dt);
  void plan_load(Load& load, double dt);
  void take(Load& load, double dt);
  void step_sensors(Duration dt);
  void step_sight(double dt);
  [[nodiscard]] double shaft_of(int axis) const {
    return axis < 0 ? 0.0 : axes[static_cast<std::size_t>(axis)].position();
  }
  // The shaft that a sensor sits on, in rad of that shaft.
  [[nodiscard]] double sensor_shaft(int axis, bool on_rotor) const {
    return axis >= 0 && on_rotor ? axes[static_cast<std::size_t>(axis)].rotor_position() : shaft_of(axis);
  }
  [[nodiscard]] double stored() const;

  robot::Robot drawn;
  AsBuilt built;
  Supply supply;
  std::uint64_t seed;
  std::int64_t count = 0;
  Instant now;

  std::array<BridgeCommand, most_ports> commands{};
  std::vector<Load> loads;
  std::vector<MotorAxis> axes;
  std::vector<int> axis_of_output;  // -1: no motor there
  std::vector<OnOffLoad> on_offs;
  std::vector<Wavering> waverings;
  std::vector<Sight> sights;  // of outputs
  std::vector<double> bank_amperes;
  double stored_at_start = 0.0;

  std::vector<EncoderState> encoders;
  std::vector<int> encoder_waver;
  std::vector<SwitchState> switches;
  std::vector<int> switch_waver;
  std::vector<AnalogueState> analogues;
  std::vector<int> analogue_waver;
  std::array<bool, most_ports> switch_pins{};
  std::vector<Edge> edges;
  std::vector<std::string> encoder_names, switch_names, analogue_names;
};

}  // namespace ringout::plant
