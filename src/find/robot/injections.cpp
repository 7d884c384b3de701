// Which deviation of the simulated robot is the like of a fault (plant/deviations.h has the kinds).
#include "find/robot/derivation.h"

namespace ringout::faults {

namespace {

// Another device of the catalogue of the same kind, as unlike as the catalogue has: the first in its order.
std::string other_device(const robot::Robot& robot, const std::string& device) {
  const robot::Device& drawn = robot.device_of(device);
  for (const robot::Device& d : robot.catalogue.devices) {
    if (d.name != device && d.spec.index() == drawn.spec.index()) return d.name;
  }
  return {};
}

Injection of_supply(const Fault& f) {
  if (f.kind == PartKind::battery && f.mode == Mode::empty) return {.kind = "weak_battery", .amount = 0.05};
  if (f.kind == PartKind::battery && f.mode == Mode::weak) return {.kind = "weak_battery"};
  if (f.protection == nullptr || f.mode == Mode::intermittent) return {};
  if (f.kind == PartKind::supply_wire) return {.kind = "open_wire", .part = f.protection->name};
  return {.kind = "blown_protection", .part = f.protection->name};
}

// A point's own parts; `Point` is an output or an input.
template <class Point>
Injection of_point(const robot::Robot& robot, const Fault& f, const Point& point, const Point* other) {
  const auto simply = [&](const char* kind) { return Injection{.kind = kind, .points = {point.name}}; };
  switch (f.mode) {
    case Mode::open:
      return simply("open_wire");
    case Mode::intermittent:
      return simply("intermittent_wire");
    case Mode::exchanged:
      return {.kind = "exchanged", .points = {point.name, other->name}};
    case Mode::moved:
      return {.kind = "on_port", .points = {point.name}, .port = f.spare_ports.front()};
    case Mode::dead:
      if (f.kind == PartKind::port || f.kind == PartKind::sensor_port) return {.kind = "dead_port", .port = point.port};
      return simply("dead_device");
    case Mode::stuck_open:
      return simply("dead_device");
    case Mode::shorted:
      return f.input == nullptr ? simply("shorted_wire") : Injection{};
    case Mode::reversed:
      return simply(f.input == nullptr ? "leads_reversed" : "channels_swapped");
    case Mode::weak:
      return f.kind == PartKind::motor ? simply("weak_device") : Injection{};
    case Mode::slipping:
      return f.kind == PartKind::gear ? simply("slipping") : Injection{};
    case Mode::jammed:
      return simply("jammed");
    case Mode::stiff:
      return simply("stiff");
    case Mode::stuck_closed:
    case Mode::stuck:
      return simply("stuck");
    case Mode::one_channel:
      return {.kind = "channel_dead", .points = {point.name}, .channel = "B"};
    case Mode::wrong_type:
      if (const std::string device = other_device(robot, point.device); !device.empty())
        return {.kind = "wrong_device", .points = {point.name}, .device = device};
      return {};
    default:
      return {};
  }
}

}  // namespace

Injection injection_of(const robot::Robot& robot, const Fault& f) {
  switch (f.kind) {
    case PartKind::sensor_supply:
      return {.kind = "no_sensor_supply"};
    case PartKind::firmware:
      return {.kind = "old_firmware"};
    case PartKind::table:
      return {.kind = "stale_table"};
    case PartKind::program:
      return {.kind = "other_program"};
    case PartKind::board:
    case PartKind::bank:
    case PartKind::link:
    case PartKind::command:
      return {};
    default:
      break;
  }
  if (f.input != nullptr) return of_point(robot, f, *f.input, f.other_input);
  return f.output != nullptr ? of_point(robot, f, *f.output, f.other_output) : of_supply(f);
}

}  // namespace ringout::faults
