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

Injection of_output(const robot::Robot& robot, const Fault& f) {
  const std::vector<std::string> points{f.output->name};
  const auto simply = [&](const char* kind) { return Injection{.kind = kind, .points = points}; };
  switch (f.mode) {
    case Mode::open:
      return simply("open_wire");
    case Mode::intermittent:
      return simply("intermittent_wire");
    case Mode::shorted:
      return simply("shorted_wire");
    case Mode::reversed:
      return simply("leads_reversed");
    case Mode::exchanged:
      return {.kind = "exchanged", .points = {f.output->name, f.other_output->name}};
    case Mode::moved:
      return {.kind = "on_port", .points = points, .port = f.spare_port};
    case Mode::dead:
      if (f.kind == PartKind::port) return {.kind = "dead_port", .port = f.output->port};
      return simply("dead_device");
    case Mode::weak:
      return f.kind == PartKind::motor ? simply("weak_device") : Injection{};
    case Mode::jammed:
      return simply("jammed");
    case Mode::slipping:
      return simply("slipping");
    case Mode::stiff:
      return simply("stiff");
    case Mode::wrong_type:
      if (const std::string other = other_device(robot, f.output->device); !other.empty())
        return {.kind = "wrong_device", .points = points, .device = other};
      return {};
    default:
      return {};
  }
}

Injection of_input(const robot::Robot& robot, const Fault& f) {
  const std::vector<std::string> points{f.input->name};
  const auto simply = [&](const char* kind) { return Injection{.kind = kind, .points = points}; };
  switch (f.mode) {
    case Mode::open:
      return simply("open_wire");
    case Mode::intermittent:
      return simply("intermittent_wire");
    case Mode::exchanged:
      return {.kind = "exchanged", .points = {f.input->name, f.other_input->name}};
    case Mode::moved:
      return {.kind = "on_port", .points = points, .port = f.spare_port};
    case Mode::dead:
      if (f.kind == PartKind::sensor_port) return {.kind = "dead_port", .port = f.input->port};
      return simply("dead_device");
    case Mode::stuck_open:
      return simply("dead_device");
    case Mode::stuck_closed:
    case Mode::stuck:
      return simply("stuck");
    case Mode::one_channel:
      return {.kind = "channel_dead", .points = points, .channel = "B"};
    case Mode::reversed:
      return simply("channels_swapped");
    case Mode::wrong_type:
      if (const std::string other = other_device(robot, f.input->device); !other.empty())
        return {.kind = "wrong_device", .points = points, .device = other};
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
  if (f.input != nullptr) return of_input(robot, f);
  return f.output != nullptr ? of_output(robot, f) : of_supply(f);
}

}  // namespace ringout::faults
