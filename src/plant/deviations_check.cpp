// A deviations file against the robot that it deviates from: every name must mean something there.
#include <fmt/format.h>

#include <algorithm>

#include "plant/deviations.h"
#include "robot/table_reader.h"

namespace ringout::plant {
namespace {

using robot::PointKind;
using robot::Robot;
using robot::shown;

struct Check {
  const Robot& drawn;
  const SourceText& text;
  Diagnostics& found;

  void error(const Deviation& d, const char* key, const char* id, std::string message, std::string hint = {}) const {
    const auto at = d.places.keys.find(key);
    found.error(text, at != d.places.keys.end() ? at->second : d.at, id, std::move(message), std::move(hint));
  }
};

std::string did_you_mean(const std::string& word, const std::vector<std::string>& known) {
  const std::string near = nearest(word, known);
  if (!near.empty()) return fmt::format("did you mean \"{}\"?", near);
  return known.empty() ? std::string{} : fmt::format("known are {}", fmt::join(known, ", "));
}

std::vector<std::string> point_names(const Robot& drawn) {
  std::vector<std::string> names;
  for (const robot::Output& o : drawn.outputs) names.push_back(o.name);
  for (const robot::Input& i : drawn.inputs) names.push_back(i.name);
  return names;
}

std::optional<PointKind> kind_of_point(const Robot& drawn, const std::string& name) {
  if (const robot::Output* o = drawn.output(name)) return o->kind;
  if (const robot::Input* i = drawn.input(name)) return i->kind;
  return std::nullopt;
}

const std::string& port_name_of(const Robot& drawn, const std::string& point) {
  const robot::Output* o = drawn.output(point);
  return o != nullptr ? o->port : drawn.input(point)->port;
}

bool is_simulated(PointKind point) {
  return point != PointKind::servo && point != PointKind::light && point != PointKind::bus_device;
}

// What a kind of deviation can befall, in words, where it cannot befall this point; else nullptr.
const char* concerns_only(DeviationKind kind, PointKind point) {
  switch (kind) {
    case DeviationKind::leads_reversed:
    case DeviationKind::jammed:
    case DeviationKind::slipping:
    case DeviationKind::stiff:
    case DeviationKind::weak_device:
      return point == PointKind::bridge_motor ? nullptr : "a motor";
    case DeviationKind::channels_swapped:
    case DeviationKind::channel_dead:
      return point == PointKind::encoder ? nullptr : "an encoder";
    case DeviationKind::stuck:
      return point == PointKind::switch_input || point == PointKind::analogue ? nullptr : "a switch or analogue sensor";
    case DeviationKind::shorted_wire:
      return point == PointKind::bridge_motor || point == PointKind::on_off ? nullptr : "an output that a driver feeds";
    default:
      return nullptr;
  }
}

bool points_known(const Check& c, const Deviation& d) {
  bool all = true;
  for (const std::string& name : d.points) {
    const auto kind = kind_of_point(c.drawn, name);
    if (!kind) {
      c.error(d, "points", "deviations.unknown-point", fmt::format("the robot has no point \"{}\"", shown(name)),
              did_you_mean(name, point_names(c.drawn)));
      all = false;
    } else if (!is_simulated(*kind)) {
      c.error(
          d, "points", "deviations.not-simulated",
          fmt::format("\"{}\" is of the kind {}, which the simulated robot does not have", name, robot::name_of(*kind)),
          "name a motor, a switched load, a switch, an analogue sensor or an encoder");
      all = false;
    } else if (const char* only = concerns_only(d.kind, *kind)) {
      c.error(d, "points", "deviations.wrong-point",
              fmt::format("\"{}\" concerns {}, but \"{}\" is of the kind {}", name_of(d.kind), only, name,
                          robot::name_of(*kind)));
      all = false;
    }
  }
  return all;
}

void check_part(const Check& c, const Deviation& d) {
  if (d.part.empty()) return;
  std::vector<std::string> names;
  for (const robot::Protection& p : c.drawn.protections) names.push_back(p.name);
  if (std::find(names.begin(), names.end(), d.part) != names.end()) return;
  c.error(d, "part", "deviations.unknown-part", fmt::format("the robot has no protection \"{}\"", shown(d.part)),
          did_you_mean(d.part, names));
}

void check_exchange(const Check& c, const Deviation& d) {
  const std::string& one = d.points[0];
  const std::string& other = d.points[1];
  if (one == other) {
    c.error(d, "points", "deviations.same-point", fmt::format("\"{}\" cannot be exchanged with itself", one));
    return;
  }
  const bool same_side = (c.drawn.output(one) != nullptr) == (c.drawn.output(other) != nullptr);
  const robot::PortKind a = c.drawn.port_of(port_name_of(c.drawn, one)).kind;
  const robot::PortKind b = c.drawn.port_of(port_name_of(c.drawn, other)).kind;
  if (same_side && a == b) return;
  c.error(d, "points", "deviations.not-exchangeable",
          fmt::format("\"{}\" and \"{}\" sit on ports of different kinds", one, other),
          "name two outputs, or two inputs of one kind of port");
}

// The board's port that the deviation names; nullptr and an error where there is none.
const robot::BoardPort* port_named(const Check& c, const Deviation& d) {
  std::vector<std::string> names;
  for (const robot::BoardPort& p : c.drawn.board.ports) names.push_back(p.name);
  const robot::BoardPort* port = c.drawn.board.find(d.port);
  if (port == nullptr) {
    c.error(d, "port", "deviations.unknown-port", fmt::format("the board has no port \"{}\"", shown(d.port)),
            did_you_mean(d.port, names));
  }
  return port;
}

void check_new_port(const Check& c, const Deviation& d) {
  const robot::BoardPort* port = port_named(c, d);
  if (port == nullptr) return;
  const std::string& own = port_name_of(c.drawn, d.points.front());
  if (port->kind != c.drawn.port_of(own).kind) {
    c.error(d, "port", "deviations.wrong-port",
            fmt::format("\"{}\" does not plug into {}, which is another kind of port", d.points.front(), d.port));
    return;
  }
  for (const std::string& name : point_names(c.drawn)) {
    if (name == d.points.front() || port_name_of(c.drawn, name) != d.port) continue;
    c.error(d, "port", "deviations.port-taken", fmt::format("{} is taken by \"{}\"", d.port, name),
            fmt::format("kind = \"exchanged\", points = [\"{}\", \"{}\"]", d.points.front(), name));
  }
}

bool same_trade(PointKind point, const robot::Device& device) {
  switch (point) {
    case PointKind::bridge_motor:
    case PointKind::on_off:
      return device.as<robot::MotorDevice>() != nullptr || device.as<robot::OnOffDevice>() != nullptr;
    case PointKind::servo:
      return device.as<robot::ServoDevice>() != nullptr;
    case PointKind::light:
      return device.as<robot::LightDevice>() != nullptr;
    case PointKind::switch_input:
      return device.as<robot::SwitchDevice>() != nullptr;
    case PointKind::analogue:
      return device.as<robot::AnalogueDevice>() != nullptr;
    case PointKind::encoder:
      return device.as<robot::EncoderDevice>() != nullptr;
    case PointKind::bus_device:
      return device.as<robot::BusDevice>() != nullptr;
  }
  return false;
}

void check_device(const Check& c, const Deviation& d) {
  const robot::Device* device = c.drawn.catalogue.device(d.device);
  if (device == nullptr) {
    std::vector<std::string> names;
    for (const robot::Device& known : c.drawn.catalogue.devices) names.push_back(known.name);
    c.error(d, "device", "deviations.unknown-device",
            fmt::format("the catalogue has no device \"{}\"", shown(d.device)), did_you_mean(d.device, names));
    return;
  }
  if (same_trade(*kind_of_point(c.drawn, d.points.front()), *device)) return;
  c.error(d, "device", "deviations.wrong-device",
          fmt::format("\"{}\" does not plug in where \"{}\" sits", d.device, d.points.front()));
}

void check_end_switches(const Check& c, const Deviation& d) {
  const robot::Output* o = c.drawn.output(d.points.front());
  if (o != nullptr && o->low_switch && o->high_switch) return;
  c.error(d, "points", "deviations.no-end-switches",
          fmt::format("\"{}\" has no two end switches to exchange", d.points.front()));
}

void check_start(const Check& c, const Deviations& deviations) {
  for (const auto& [name, value] : deviations.start) {
    const auto place = deviations.start_places.find(name);
    const bool placed = place != deviations.start_places.end();
    const Span at = placed ? place->second.at : Span{};
    const robot::Output* o = c.drawn.output(name);
    if (o == nullptr || !o->mechanism) {
      std::vector<std::string> names;
      for (const robot::Output& known : c.drawn.outputs) {
        if (known.mechanism) names.push_back(known.name);
      }
      c.found.error(c.text, at, "deviations.unknown-start",
                    fmt::format("the robot has no mechanism \"{}\"", shown(name)), did_you_mean(name, names));
      continue;
    }
    if (placed && place->second.is_length != o->mechanism->travel_is_length) {
      c.found.error(
          c.text, at, "deviations.wrong-start-unit",
          fmt::format("\"{}\" moves along {}", name, o->mechanism->travel_is_length ? "a length" : "an angle"),
          o->mechanism->travel_is_length ? "write for example \"150 mm\"" : "write for example \"30 deg\"");
    } else if (o->mechanism->travel && (value < o->mechanism->travel->low || value > o->mechanism->travel->high)) {
      c.found.error(c.text, at, "deviations.start-outside",
                    fmt::format("\"{}\" cannot start outside its travel of {:g} to {:g} (SI)", name,
                                o->mechanism->travel->low, o->mechanism->travel->high));
    }
  }
}

}  // namespace

void check_deviations(const Deviations& deviations, const Robot& drawn, const SourceText& text, Diagnostics& found) {
  const Check c{drawn, text, found};
  for (const Deviation& d : deviations.all) {
    check_part(c, d);
    if (d.kind == DeviationKind::dead_port) port_named(c, d);
    if (!points_known(c, d) || d.points.empty()) continue;
    if (d.kind == DeviationKind::exchanged) check_exchange(c, d);
    if (d.kind == DeviationKind::on_port) check_new_port(c, d);
    if (d.kind == DeviationKind::wrong_device) check_device(c, d);
    if (d.kind == DeviationKind::end_switches_exchanged) check_end_switches(c, d);
  }
  check_start(c, deviations);
}

}  // namespace ringout::plant
