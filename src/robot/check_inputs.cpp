#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "robot/checker.h"

namespace ringout::robot {

using enum Discipline;

namespace {

bool senses_end(SensesWhat what) {
  return what == SensesWhat::travel_low_end || what == SensesWhat::travel_high_end;
}

}  // namespace
void Checker::sensing(const Input& i) {
  if (i.senses == SensesWhat::nothing && i.kind != PointKind::bus_device) {
    error(wiring, i.at, "name", "robot.senses-nothing", fmt::format("the file does not say what \"{}\" senses", i.name),
          "write senses = \"motion\", \"low end\" or \"high end\" and of = the output, or senses = \"surroundings\"");
  }
  if (senses_end(i.senses) && i.kind != PointKind::switch_input) {
    error(wiring, i.at, "senses", "robot.end-switch-is-none",
          fmt::format("\"{}\" senses an end of travel, but it is of kind {}", i.name, name_of(i.kind)),
          "an end switch is an input of kind \"switch\"");
  }
  const bool by_hand = i.kind == PointKind::switch_input || i.senses == SensesWhat::surroundings;
  if (by_hand && i.hand_action.empty() && i.kind != PointKind::bus_device) {
    warning(wiring, i.at, "name", "robot.no-hand-action",
            fmt::format("\"{}\" is proved by hand, but the file does not say how a person makes it answer", i.name),
            "write for example hand_action = \"press the roller switch at the head of the mast\"");
  }
  const Output* watched = robot.output(i.senses_output);
  if (i.senses != SensesWhat::output_motion || watched == nullptr || unsound.count(watched->name) != 0) return;
  if (!watched->mechanism) {
    error(wiring, i.at, "of", "robot.nothing-to-sense",
          fmt::format("\"{}\" senses the motion of \"{}\", which has no mechanism that moves", i.name, watched->name),
          "name the output that it really watches");
    return;
  }
  encoder_speed(i, *watched);
  sensor_covers_travel(i, *watched);
}

void Checker::end_switch_is_used(const Input& i) {
  const Output* watched = robot.output(i.senses_output);
  if (!senses_end(i.senses) || watched == nullptr) return;
  const bool low = i.senses == SensesWhat::travel_low_end;
  const std::optional<std::string>& named = low ? watched->low_switch : watched->high_switch;
  if (named) return;  // another name is reported at the output
  error(wiring, i.at, "senses", "robot.end-switch-unused",
        fmt::format("\"{}\" senses an end of the travel of \"{}\", but does not stop it", i.name, watched->name),
        fmt::format("write at output \"{}\": {} = \"{}\"", watched->name, low ? "low_switch" : "high_switch", i.name));
}

void Checker::encoder_speed(const Input& i, const Output& watched) {
  const auto* encoder = spec<EncoderDevice>(i.device);
  const auto* motor = spec<MotorDevice>(watched.device);
  const BoardPort* port = robot.board.find(i.port);
  if (encoder == nullptr || motor == nullptr || port == nullptr || port->kind != PortKind::encoder_input) return;
  const AngularSpeed shaft = i.on_motor_shaft ? motor->free_speed : motor->free_speed / watched.mechanism->gear_ratio;
  const double edges_per_second = shaft.in(rpm(60)) * encoder->lines_per_revolution * 4.0;
  if (edges_per_second <= port->max_edge_rate.si) return;
  error(wiring, i.at, "device", "robot.encoder-too-fast",
        fmt::format("at free speed \"{}\" gives {:.0f} edges a second, and port {} counts {:.0f}", i.name,
                    edges_per_second, i.port, port->max_edge_rate.si),
        "take an encoder with fewer lines, or put it on the slower shaft");
}

void Checker::sensor_covers_travel(const Input& i, const Output& watched) {
  const auto* sensor = spec<AnalogueDevice>(i.device);
  const Mechanism& m = *watched.mechanism;
  if (sensor == nullptr || !m.travel) return;
  // The shaft's angle counts from the same zero as the travel.
  double to_sensor = 1.0;
  if (sensor->measures_distance) {
    if (!m.travel_is_length) return;
  } else {
    if (m.travel_is_length && m.radius) to_sensor /= m.radius->si;
    if (i.on_motor_shaft) to_sensor *= m.gear_ratio;
  }
  const double slack = 1e-9 + 1e-6 * (sensor->high_value - sensor->low_value);
  if (m.travel->low * to_sensor >= sensor->low_value - slack &&
      m.travel->high * to_sensor <= sensor->high_value + slack) {
    return;
  }
  error(mechanics, i.at, "device", "robot.sensor-range-short",
        fmt::format("the range of \"{}\" does not cover the travel of \"{}\"", i.device, watched.name),
        "compare the device's low_value and high_value with the mechanism's travel");
}

void Checker::analogue_range(const Input& i) {
  const auto* sensor = spec<AnalogueDevice>(i.device);
  const BoardPort* port = robot.board.find(i.port);
  if (sensor == nullptr || port == nullptr || port->kind != PortKind::analogue_input) return;
  const double highest = std::max(sensor->at_low.si, sensor->at_high.si) / port->divider_ratio;
  if (highest > robot.board.logic.si) {
    error(wiring, i.at, "port", "robot.analogue-over-range",
          fmt::format("\"{}\" puts up to {:g} V on the pin of port {}, which bears {:g} V", i.name, highest, i.port,
                      robot.board.logic.si),
          "use a port with a divider, or put one in");
  }
  if (std::abs(sensor->supply.si / robot.board.logic.si - 1.0) > 0.1) {
    error(wiring, i.at, "device", "robot.wrong-voltage",
          fmt::format("\"{}\" needs {:g} V, and the board's sensor supply is {:g} V", i.device, sensor->supply.si,
                      robot.board.logic.si),
          "choose a sensor for the board's supply");
  }
}

void Checker::bus_addresses() {
  std::map<std::pair<std::string, int>, std::string> users;
  for (const Input& i : robot.inputs) {
    const auto* device = spec<BusDevice>(i.device);
    if (device == nullptr || i.port.empty()) continue;
    const auto [user, fresh] = users.emplace(std::pair{i.port, device->address}, i.name);
    if (fresh) continue;
    error(wiring, i.at, "device", "robot.bus-address-twice",
          fmt::format("\"{}\" and \"{}\" have the same address 0x{:02X} on {}", user->second, i.name, device->address,
                      i.port),
          "give one of them another address, or put it on another bus");
  }
}

}  // namespace ringout::robot
