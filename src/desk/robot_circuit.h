// The robot's supply as a circuit: which node and element is which part, and their numbers for a load case.
//
//   return ─ battery (open-circuit voltage behind its resistance) ─ battery wire ─┬─ wire ─ protection ─┬─ …
//   each protection hangs on what it is fed from; the board and the outputs' ports hang on what feeds them
//
// Both leads of a wire in one resistance; a connector counts twice, once a lead. An output's own wire, connector and
// driver carry the motor's current and so belong to its loop (circuit.h). Copper at the ambient temperature. A part of
// no stated resistance has 10 µΩ.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "desk/desk.h"
#include "desk/device_models.h"

namespace ringout::desk {

constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

// An output's state in a case, by its index in the robot.
struct OutputSetting {
  robot::Loading loading = robot::Loading::off;
  double level = 1.0;
  double speed = 0.0;  // SI at the output shaft, rad/s or, with a radius, m/s
};

struct CaseSetting {
  double state_of_charge = 1.0;
  Temperature ambient = celsius(25);
  std::vector<OutputSetting> outputs;
};

struct OutputPlace {
  std::size_t device = nowhere;     // of the catalogue's devices
  std::size_t port = nowhere;       // of the board's ports
  std::size_t connector = nowhere;  // of the catalogue's devices
  NodeIndex node = ground;          // its port's supply
  std::size_t load = nowhere;       // of the circuit's chopped loads; nowhere: a servo or light
  std::size_t steady = nowhere;     // of its current loads: a servo or light with a feed of its own
};

// Everything of a robot that does not change with its numbers: made once, used for every case and every draw.
struct Layout {
  Circuit circuit;  // the pattern; numbers of no meaning
  std::vector<NodeLabel> nodes;
  std::vector<BranchLabel> branches;  // source first, then the circuit's resistors in order
  std::vector<WireLabel> wires;       // battery's, protections', board's, outputs'
  std::size_t battery_device = nowhere;
  std::vector<std::size_t> protection_devices;
  std::vector<std::size_t> fed_from;  // per protection: a protection, or nowhere: the battery
  std::size_t board_fed_by = nowhere;
  std::vector<std::size_t> sensor_devices;  // per input
  std::vector<OutputPlace> outputs;
  std::vector<std::size_t> output_fed_by;  // a protection, or nowhere
  NodeIndex board = ground;
  std::map<std::string, std::size_t, std::less<>> output_named;

  // Where things stand in the orders above.
  static constexpr NodeIndex terminals = 1, plug = 2;
  [[nodiscard]] NodeIndex before(std::size_t protection) const { return static_cast<NodeIndex>(3 + 2 * protection); }
  [[nodiscard]] NodeIndex after(std::size_t protection) const { return static_cast<NodeIndex>(4 + 2 * protection); }
  [[nodiscard]] std::size_t wire_of_protection(std::size_t p) const { return 1 + p; }
  [[nodiscard]] std::size_t wire_of_board() const { return 1 + protection_devices.size(); }
  [[nodiscard]] std::size_t wire_of_output(std::size_t o) const { return 2 + protection_devices.size() + o; }
  [[nodiscard]] std::size_t resistor_of_wire(std::size_t p) const { return 1 + 2 * p; }
  [[nodiscard]] std::size_t resistor_of_protection(std::size_t p) const { return 2 + 2 * p; }
  [[nodiscard]] std::size_t resistor_of_board() const { return 1 + 2 * protection_devices.size(); }
  // What feeds a node hanging on `protection`, nearest first; ends at the battery.
  [[nodiscard]] NodeIndex feed_node(std::size_t protection) const {
    return protection == nowhere ? plug : after(protection);
  }
};
[[nodiscard]] Layout lay_out(const robot::Robot& robot);

// The catalogue's device at this index, where it is of this kind; else null.
template <class Spec>
[[nodiscard]] const Spec* spec_at(const robot::Robot& robot, std::size_t index) {
  return index == nowhere ? nullptr : robot.catalogue.devices[index].as<Spec>();
}
// The motor on this output; null where none hangs on it.
[[nodiscard]] inline const robot::MotorDevice* motor_of(const robot::Robot& robot, const Layout& layout,
                                                        std::size_t output) {
  const OutputPlace& place = layout.outputs[output];
  return place.load == nowhere ? nullptr : spec_at<robot::MotorDevice>(robot, place.device);
}

// The limits of a layout's wires anew, for the robot's hottest ambient.
void set_wire_limits(const robot::Robot& robot, std::vector<WireLabel>& wires);

// Puts the case's numbers into `circuit`, which has the layout's pattern. Error: physics.motor-row, naming the device.
[[nodiscard]] Result<void> set_values(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting,
                                      Circuit& circuit);

// Resistance of parts, with the least counted for any (10 µΩ).
[[nodiscard]] Resistance wire_resistance(const robot::Wire& wire, Temperature t);
struct LoopParts {
  Resistance driver, wire, contacts;
  [[nodiscard]] Resistance total() const { return driver + wire + contacts; }
};
// Between an output's port supply and its device.
[[nodiscard]] LoopParts loop_parts(const robot::Robot& robot, const Layout& layout, std::size_t output, Temperature t);
// What the controller takes by itself: at idle, with the sensors, and with the servos and lights that it feeds.
[[nodiscard]] Current board_current(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting);
// A servo's or light's own current in this state.
[[nodiscard]] Current regulated_current(const robot::Robot& robot, const Layout& layout, std::size_t output,
                                        const OutputSetting& setting);

}  // namespace ringout::desk
