#include "robot/resolve.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "robot/catalogue_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

namespace {

struct Resolver {
  const Robot& robot;
  Diagnostics& found;
  std::map<std::string, std::string> taken;       // name in lower case -> what has it
  std::map<std::string, std::string> port_users;  // port -> point

  void error(const Places& at, const char* key, std::string id, std::string message, std::string hint = {}) {
    found.error(*robot.text, at.of(key), std::move(id), std::move(message), std::move(hint));
  }

  using FaultOf = std::string (*)(const std::string& name);
  void name(const std::string& name, const std::string& what, const Places& at, FaultOf fault_of = fault_of_name);
  template <class Fits>
  bool device(const std::string& device, const Places& at, const char* key, const std::string& what, Fits fits);
  template <class Spec>
  void device_is(const std::string& name, const Places& at, const char* key, const std::string& what,
                 const char* wanted);
  void port(const std::string& port, PointKind kind, const Places& at, const std::string& name);
  void feed(const std::string& protection, const Places& at, const char* key, const std::string& what);
  void protection(const Protection& p);
  void output(const Output& o);
  void input(const Input& i);
};

std::string lower(const std::string& text) {
  std::string out = text;
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return out;
}

std::string meant(const std::string& word, const std::vector<std::string>& candidates, const char* otherwise) {
  const std::string near = nearest(word, candidates);
  if (!near.empty()) return fmt::format("did you mean \"{}\"?", near);
  if (candidates.empty() || candidates.size() > 12) return otherwise;
  return fmt::format("there are: {}", fmt::join(candidates, ", "));
}

// What can be suggested: a name that is itself refused is none.
template <class Named>
std::vector<std::string> names_of(const std::vector<Named>& all) {
  std::vector<std::string> out;
  for (const Named& n : all) {
    if (fault_of_name(n.name).empty()) out.push_back(n.name);
  }
  return out;
}

void Resolver::name(const std::string& name, const std::string& what, const Places& at, FaultOf fault_of) {
  if (name.empty() && at.keys.count("name") == 0) return;
  if (const std::string fault = fault_of(name); !fault.empty()) {
    error(at, "name", "robot.bad-name", fmt::format("\"{}\" cannot be a name: {}", shown(name), fault),
          "use letters, digits and underscores, beginning with a letter, for example \"lift_top\"");
    return;
  }
  const auto [other, fresh] = taken.emplace(lower(name), what);
  if (!fresh) {
    error(at, "name", "robot.name-taken", fmt::format("the name \"{}\" is used already, by {}", name, other->second),
          "names are told apart without regard to capitals; choose another");
  }
}

template <class Fits>
bool Resolver::device(const std::string& device, const Places& at, const char* key, const std::string& what,
                      Fits fits) {
  if (device.empty() && at.keys.count(key) == 0) return false;
  if (robot.catalogue.device(device) != nullptr) return true;
  std::vector<Device> fitting;
  std::copy_if(robot.catalogue.devices.begin(), robot.catalogue.devices.end(), std::back_inserter(fitting), fits);
  error(at, key, "robot.unknown-device", fmt::format("the catalogue has no device \"{}\" for {}", shown(device), what),
        meant(device, names_of(fitting), "describe the device in a catalogue file beside the robot file"));
  return false;
}

template <class Spec>
void Resolver::device_is(const std::string& name, const Places& at, const char* key, const std::string& what,
                         const char* wanted) {
  if (!device(name, at, key, what, [](const Device& d) { return d.as<Spec>() != nullptr; })) return;
  if (robot.catalogue.device(name)->as<Spec>() != nullptr) return;
  error(at, key, "robot.wrong-device-kind", fmt::format("\"{}\" for {} is not {}", name, what, wanted));
}

void Resolver::port(const std::string& port, PointKind kind, const Places& at, const std::string& point) {
  if (robot.board.ports.empty() || (port.empty() && at.keys.count("port") == 0)) return;
  const BoardPort* on_board = robot.board.find(port);
  const PortKind needed = port_kind_for(kind);
  std::vector<std::string> fitting;
  for (const BoardPort* p : robot.board.of_kind(needed)) fitting.push_back(p->name);
  if (on_board == nullptr) {
    error(at, "port", "robot.unknown-port",
          fmt::format("board \"{}\" has no port \"{}\"", robot.board.name, shown(port)),
          meant(port, fitting, "see the board's catalogue file for its ports"));
    return;
  }
  if (at.keys.count("kind") != 0 && on_board->kind != needed) {
    error(at, "port", "robot.wrong-port-kind",
          fmt::format("port {} is of kind {}, and a point of kind {} needs one of kind {}", port,
                      name_of(on_board->kind), name_of(kind), name_of(needed)),
          fitting.empty() ? fmt::format("this board has none")
                          : fmt::format("such ports are {}", fmt::join(fitting, ", ")));
  }
  if (on_board->kind == PortKind::bus) return;  // many devices share a bus
  const auto [user, fresh] = port_users.emplace(port, point);
  if (!fresh) {
    error(at, "port", "robot.port-twice", fmt::format("port {} is used already, by \"{}\"", port, shown(user->second)),
          "one of the two is drawn on the wrong port");
  }
}

void Resolver::feed(const std::string& protection, const Places& at, const char* key, const std::string& what) {
  if (protection.empty() && at.keys.count(key) == 0) return;
  if (robot.protection(protection) != nullptr) return;
  error(at, key, "robot.unknown-protection",
        fmt::format("{} is fed by \"{}\", which is no protection of this robot", what, shown(protection)),
        meant(protection, names_of(robot.protections), "describe it: [[protection]] with its name and device"));
}

void Resolver::protection(const Protection& p) {
  const std::string what = fmt::format("protection \"{}\"", shown(p.name));
  device_is<ProtectionDevice>(p.device, p.at, "device", what, "a fuse, a breaker or a resettable fuse");
  if (p.fed_from.empty() && p.at.keys.count("fed_from") == 0) return;
  if (p.fed_from == "battery") return;
  if (robot.protection(p.fed_from) == nullptr) {
    std::vector<std::string> sources = names_of(robot.protections);
    std::erase(sources, p.name);
    sources.emplace_back("battery");
    error(p.at, "fed_from", "robot.unknown-protection",
          fmt::format("{} is fed from \"{}\", which is neither \"battery\" nor a protection", what, shown(p.fed_from)),
          meant(p.fed_from, sources, "write \"battery\" or the name of a protection"));
    return;
  }
  const Protection* up = &p;
  for (std::size_t steps = 0; up != nullptr; ++steps) {
    if (steps > robot.protections.size()) {
      error(p.at, "fed_from", "robot.feed-cycle",
            fmt::format("the feed of {} runs in a circle and never reaches the battery", what),
            "one protection of the circle is fed from \"battery\"");
      return;
    }
    up = up->fed_from == "battery" ? nullptr : robot.protection(up->fed_from);
  }
}

void Resolver::output(const Output& o) {
  const std::string what = fmt::format("output \"{}\"", shown(o.name));
  const auto fits = [&](const Device& d) { return o.at.keys.count("kind") == 0 || device_fits(o.kind, d); };
  if (device(o.device, o.at, "device", what, fits) && o.at.keys.count("kind") != 0 &&
      !device_fits(o.kind, *robot.catalogue.device(o.device))) {
    error(o.at, "device", "robot.wrong-device-kind",
          fmt::format("\"{}\" is no device for a point of kind {}", o.device, name_of(o.kind)),
          "either the kind or the device is wrong");
  }
  port(o.port, o.kind, o.at, o.name);
  feed(o.fed_by, o.at, "fed_by", what);
  if (!o.connector.empty()) device_is<ConnectorDevice>(o.connector, o.at, "connector", what, "a connector");
  for (const auto& [key, end] : {std::pair{"low_switch", &o.low_switch}, std::pair{"high_switch", &o.high_switch}}) {
    if (!end->has_value() || robot.input(**end) != nullptr) continue;
    error(o.at, key, "robot.unknown-input",
          fmt::format("{} names an end switch \"{}\", but there is no such input", what, shown(**end)),
          meant(**end, names_of(robot.inputs), "describe it: [[input]] of kind \"switch\""));
  }
}

void Resolver::input(const Input& i) {
  const std::string what = fmt::format("input \"{}\"", shown(i.name));
  const auto fits = [&](const Device& d) { return i.at.keys.count("kind") == 0 || device_fits(i.kind, d); };
  if (device(i.device, i.at, "device", what, fits) && i.at.keys.count("kind") != 0 &&
      !device_fits(i.kind, *robot.catalogue.device(i.device))) {
    error(i.at, "device", "robot.wrong-device-kind",
          fmt::format("\"{}\" is no device for a point of kind {}", i.device, name_of(i.kind)),
          "either the kind or the device is wrong");
  }
  port(i.port, i.kind, i.at, i.name);
  if (!i.connector.empty()) device_is<ConnectorDevice>(i.connector, i.at, "connector", what, "a connector");
  const bool of_output = i.senses == SensesWhat::output_motion || i.senses == SensesWhat::travel_low_end ||
                         i.senses == SensesWhat::travel_high_end;
  const bool has_of = i.at.keys.count("of") != 0;
  if (of_output && !has_of) {
    error(i.at, "senses", "robot.senses-whom", fmt::format("{} does not say which output it senses", what),
          "write for example: of = \"lift\"");
  } else if (of_output && robot.output(i.senses_output) == nullptr) {
    error(i.at, "of", "robot.unknown-output",
          fmt::format("{} senses \"{}\", but there is no such output", what, shown(i.senses_output)),
          meant(i.senses_output, names_of(robot.outputs), "name one of the robot's outputs"));
  } else if (!of_output && has_of) {
    error(i.at, "of", "robot.senses-whom", fmt::format("{} names an output but senses nothing of it", what),
          "write senses = \"motion\", \"low end\" or \"high end\", or leave out \"of\"");
  }
}

}  // namespace

PortKind port_kind_for(PointKind kind) {
  switch (kind) {
    case PointKind::bridge_motor:
    case PointKind::on_off:
      return PortKind::bridge;
    case PointKind::servo:
      return PortKind::servo;
    case PointKind::light:
      return PortKind::light;
    case PointKind::switch_input:
      return PortKind::switch_input;
    case PointKind::analogue:
      return PortKind::analogue_input;
    case PointKind::encoder:
      return PortKind::encoder_input;
    case PointKind::bus_device:
      return PortKind::bus;
  }
  return PortKind::bridge;
}

bool device_fits(PointKind kind, const Device& device) {
  switch (kind) {
    case PointKind::bridge_motor:
      return device.as<MotorDevice>() != nullptr;
    case PointKind::servo:
      return device.as<ServoDevice>() != nullptr;
    case PointKind::on_off:
      return device.as<OnOffDevice>() != nullptr;
    case PointKind::light:
      return device.as<LightDevice>() != nullptr;
    case PointKind::switch_input:
      return device.as<SwitchDevice>() != nullptr;
    case PointKind::analogue:
      return device.as<AnalogueDevice>() != nullptr;
    case PointKind::encoder:
      return device.as<EncoderDevice>() != nullptr;
    case PointKind::bus_device:
      return device.as<BusDevice>() != nullptr;
  }
  return false;
}

void report_unknown_board(const Robot& robot, const std::string& model, const Catalogue& catalogue,
                          Diagnostics& found) {
  found.error(*robot.text, robot.board_at.of("model"), "robot.unknown-board",
              fmt::format("the catalogue has no board \"{}\"", shown(model)),
              meant(model, names_of(catalogue.boards), "describe the board in a catalogue file beside the robot file"));
}

void resolve_names(const Robot& robot, Diagnostics& found) {
  Resolver r{robot, found, {}, {}};
  for (const char* reserved : {"battery", "board", "program", "binding", "firmware", "link"}) {
    r.taken.emplace(reserved, "Ringout itself");
  }
  if (robot.battery.name != "battery") r.name(robot.battery.name, "the battery", robot.battery.at);
  for (const Protection& p : robot.protections) r.name(p.name, "a protection", p.at);
  for (const Output& o : robot.outputs) r.name(o.name, "an output", o.at, fault_of_point_name);
  for (const Input& i : robot.inputs) r.name(i.name, "an input", i.at, fault_of_point_name);
  if (const std::string fault = fault_of_name(robot.name); !fault.empty() && robot.at.keys.count("name") != 0) {
    r.error(robot.at, "name", "robot.bad-name", fmt::format("\"{}\" cannot be a name: {}", shown(robot.name), fault),
            "use letters, digits and underscores, beginning with a letter");
  }
  if (robot.outputs.size() + robot.inputs.size() > most_points) {
    r.error(robot.at, "name", "robot.too-many-points",
            fmt::format("the robot has {} points; the agent holds {}", robot.outputs.size() + robot.inputs.size(),
                        most_points));
  }
  r.device_is<BatteryDevice>(robot.battery.device, robot.battery.at, "device", "the battery", "a battery");
  r.feed(robot.board_fed_by, robot.board_at, "fed_by", "the board");
  for (const Protection& p : robot.protections) r.protection(p);
  for (const Output& o : robot.outputs) r.output(o);
  for (const Input& i : robot.inputs) r.input(i);
}

}  // namespace ringout::robot
