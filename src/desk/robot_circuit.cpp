#include "desk/robot_circuit.h"

#include <algorithm>
#include <cmath>

#include "desk/wire_limit.h"
#include "physics/wire.h"
#include "robot/sensor_current.h"

namespace ringout::desk {
namespace {

constexpr Resistance least = ohms(10e-6);

Resistance at_least(Resistance r) {
  return std::max(r, least);
}

std::size_t index_of_device(const robot::Robot& robot, const std::string& name) {
  const auto& all = robot.catalogue.devices;
  const auto at = std::find_if(all.begin(), all.end(), [&](const robot::Device& d) { return d.name == name; });
  return at == all.end() ? nowhere : static_cast<std::size_t>(at - all.begin());
}

// Names of the catalogue and the board, looked up many times.
struct Lookup {
  std::map<std::string, std::size_t, std::less<>> devices, ports, protections;

  explicit Lookup(const robot::Robot& robot) {
    for (std::size_t n = robot.catalogue.devices.size(); n-- > 0;) devices[robot.catalogue.devices[n].name] = n;
    for (std::size_t n = robot.board.ports.size(); n-- > 0;) ports[robot.board.ports[n].name] = n;
    for (std::size_t n = robot.protections.size(); n-- > 0;) protections[robot.protections[n].name] = n;
  }
  [[nodiscard]] static std::size_t in(const std::map<std::string, std::size_t, std::less<>>& all,
                                      const std::string& name) {
    const auto at = all.find(name);
    return at == all.end() ? nowhere : at->second;
  }
};

void name_parts(const robot::Robot& robot, Layout& l) {
  const std::string battery = robot.battery.name.empty() ? "battery" : robot.battery.name;
  l.nodes = {{"return"}, {"battery terminals"}, {"battery plug"}};
  for (const robot::Protection& p : robot.protections) {
    l.nodes.push_back({"before " + p.name});
    l.nodes.push_back({"after " + p.name});
  }
  l.nodes.push_back({"board supply"});
  const auto branch = [&](BranchKind kind, std::string name, std::string key, Span place) {
    l.branches.push_back({.kind = kind, .name = std::move(name), .key = std::move(key), .place = place});
  };
  branch(BranchKind::source, battery, "battery", robot.battery.at.whole);
  branch(BranchKind::wire, battery + " supply wire", "battery.wire", robot.battery.at.of("wire"));
  for (const robot::Protection& p : robot.protections) {
    branch(BranchKind::wire, p.name + " supply wire", "protection." + p.name + ".wire", p.at.of("wire"));
    branch(BranchKind::protection, p.name, "protection." + p.name, p.at.whole);
  }
  branch(BranchKind::wire, "board supply wire", "board.wire", robot.board_at.of("wire"));
  l.branches[0].from = ground;
  l.branches[0].to = Layout::terminals;
  for (std::size_t r = 0; r < l.circuit.resistors.size(); ++r) {
    l.branches[1 + r].from = l.circuit.resistors[r].from;
    l.branches[1 + r].to = l.circuit.resistors[r].to;
  }
}

void name_wires(const robot::Robot& robot, Layout& l) {
  const auto wire = [&](const BranchLabel& like) {
    l.wires.push_back({.name = like.name, .key = like.key, .place = like.place, .output = std::nullopt});
  };
  wire(l.branches[1]);
  for (std::size_t p = 0; p < robot.protections.size(); ++p) wire(l.branches[1 + l.resistor_of_wire(p)]);
  wire(l.branches[1 + l.resistor_of_board()]);
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const robot::Output& output = robot.outputs[o];
    wire({.kind = BranchKind::wire,
          .name = output.name + " wire",
          .key = "output." + output.name + ".wire",
          .place = output.at.of("wire")});
    l.wires.back().output = o;
  }
  set_wire_limits(robot, l.wires);
}

void join_supply(const robot::Robot& robot, const Lookup& look, Layout& l) {
  Circuit& c = l.circuit;
  c.nodes = static_cast<std::uint32_t>(4 + 2 * robot.protections.size());
  l.board = c.nodes - 1;
  c.sources.push_back({.node = Layout::terminals});
  c.resistors.push_back({.from = Layout::terminals, .to = Layout::plug});
  for (std::size_t p = 0; p < robot.protections.size(); ++p) {
    l.protection_devices.push_back(Lookup::in(look.devices, robot.protections[p].device));
    l.fed_from.push_back(Lookup::in(look.protections, robot.protections[p].fed_from));
    c.resistors.push_back({.from = l.feed_node(l.fed_from.back()), .to = l.before(p)});
    c.resistors.push_back({.from = l.before(p), .to = l.after(p)});
  }
  l.board_fed_by = Lookup::in(look.protections, robot.board_fed_by);
  c.resistors.push_back({.from = l.feed_node(l.board_fed_by), .to = l.board});
  c.current_loads.push_back({.node = l.board});
}

Result<void> set_motor(const robot::Output& output, const robot::MotorDevice& device, const LoopParts& parts,
                       const OutputSetting& setting, Temperature ambient, ChoppedLoad& load) {
  const auto row = motor_row(device);
  if (!row) {
    Error error = row.error();
    error.message = output.device + ": " + error.message;
    return tl::unexpected<Error>(std::move(error));
  }
  const physics::MotorConstants motor = motor_at(device, row->constants, ambient);
  load.loop = parts.total() + motor.winding;
  load.k = motor.k;
  load.mechanism = mechanism_current(motor, output.mechanism);
  load.level = std::clamp(setting.level, -output.max_level, output.max_level);
  load.speed = {};
  switch (setting.loading) {
    case robot::Loading::off:
      load.level = 0.0;
      load.speed_is = SpeedIs::given;
      break;
    case robot::Loading::stalled:
      load.speed_is = SpeedIs::given;
      break;
    case robot::Loading::running:
      load.speed_is = SpeedIs::found;
      break;
    case robot::Loading::at_speed: {
      load.speed_is = SpeedIs::held;
      const bool travels = output.mechanism && output.mechanism->radius && output.mechanism->radius->si > 0.0;
      const double ratio = output.mechanism ? output.mechanism->gear_ratio : 1.0;
      load.speed = {setting.speed / (travels ? output.mechanism->radius->si : 1.0) * ratio};
      break;
    }
  }
  return {};
}

void set_on_off(const robot::OnOffDevice& device, const LoopParts& parts, const OutputSetting& setting,
                ChoppedLoad& load) {
  const bool on = setting.loading != robot::Loading::off && setting.level > 0.0 && device.current.si > 0.0;
  load.loop = parts.total() + (on ? device.nominal / device.current : ohms(1));
  load.level = on ? 1.0 : 0.0;
  load.k = {};
  load.speed_is = SpeedIs::given;
  load.speed = {};
}

}  // namespace

Resistance wire_resistance(const robot::Wire& wire, Temperature t) {
  return at_least(wire.loop() * physics::copper_resistance_factor(t));
}

void set_wire_limits(const robot::Robot& robot, std::vector<WireLabel>& wires) {
  const Temperature ambient = hottest_ambient(robot);
  std::size_t at = 0;
  const auto next = [&](const robot::Wire& wire) {
    const WireLimit limit = wire_limit(wire, ambient);
    wires[at].limit = limit.current;
    wires[at++].limit_basis = limit.basis;
  };
  next(robot.battery.wire);
  for (const robot::Protection& p : robot.protections) next(p.wire);
  next(robot.board_wire);
  for (const robot::Output& o : robot.outputs) next(o.wire);
}

Layout lay_out(const robot::Robot& robot) {
  const Lookup look(robot);
  Layout l;
  l.battery_device = index_of_device(robot, robot.battery.device);
  join_supply(robot, look, l);
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const robot::Output& output = robot.outputs[o];
    OutputPlace place{.device = Lookup::in(look.devices, output.device),
                      .port = Lookup::in(look.ports, output.port),
                      .connector = Lookup::in(look.devices, output.connector)};
    l.output_fed_by.push_back(Lookup::in(look.protections, output.fed_by));
    const bool driven = output.kind == robot::PointKind::bridge_motor || output.kind == robot::PointKind::on_off;
    const bool fed = driven || !output.fed_by.empty();
    place.node = fed ? l.feed_node(l.output_fed_by.back()) : l.board;
    if (driven) {
      place.load = l.circuit.chopped_loads.size();
      l.circuit.chopped_loads.push_back({.node = place.node, .loop = ohms(1)});
    } else if (fed) {
      place.steady = l.circuit.current_loads.size();
      l.circuit.current_loads.push_back({.node = place.node});
    }
    l.output_named[output.name] = o;
    l.outputs.push_back(place);
  }
  for (const robot::Input& input : robot.inputs) l.sensor_devices.push_back(Lookup::in(look.devices, input.device));
  for (Source& s : l.circuit.sources) s.internal = ohms(1);
  for (Resistor& r : l.circuit.resistors) r.resistance = ohms(1);
  name_parts(robot, l);
  name_wires(robot, l);
  return l;
}

LoopParts loop_parts(const robot::Robot& robot, const Layout& layout, std::size_t output, Temperature t) {
  const OutputPlace& place = layout.outputs[output];
  LoopParts parts;
  if (place.port != nowhere) parts.driver = robot.board.ports[place.port].on_resistance;
  parts.wire = wire_resistance(robot.outputs[output].wire, t);
  if (const auto* plug = spec_at<robot::ConnectorDevice>(robot, place.connector)) parts.contacts = plug->contact * 2.0;
  return parts;
}

Current regulated_current(const robot::Robot& robot, const Layout& layout, std::size_t output,
                          const OutputSetting& setting) {
  if (setting.loading == robot::Loading::off) return {};
  const std::size_t device = layout.outputs[output].device;
  if (const auto* servo = spec_at<robot::ServoDevice>(robot, device)) return servo->stall_current;
  if (const auto* light = spec_at<robot::LightDevice>(robot, device)) {
    return light->current_per_pixel * light->pixels * std::abs(setting.level);
  }
  return {};
}

Current board_current(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting) {
  Current sum = robot.board.idle_current;
  for (const std::size_t device : layout.sensor_devices) {
    if (device != nowhere) sum += robot::sensor_current(robot.catalogue.devices[device]);
  }
  for (std::size_t o = 0; o < layout.outputs.size(); ++o) {
    const OutputPlace& place = layout.outputs[o];
    if (place.load == nowhere && place.steady == nowhere) {
      sum += regulated_current(robot, layout, o, setting.outputs[o]);
    }
  }
  return sum;
}

Result<void> set_values(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting, Circuit& circuit) {
  const Temperature t = setting.ambient;
  if (const auto* device = spec_at<robot::BatteryDevice>(robot, layout.battery_device)) {
    const BatteryModel battery = battery_model(*device);
    circuit.sources[0].emf = battery.open_at(setting.state_of_charge);
    circuit.sources[0].internal = at_least(battery.internal_at(setting.state_of_charge, t));
  }
  circuit.resistors[0].resistance = wire_resistance(robot.battery.wire, t);
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    const auto* device = spec_at<robot::ProtectionDevice>(robot, layout.protection_devices[p]);
    circuit.resistors[layout.resistor_of_wire(p)].resistance = wire_resistance(robot.protections[p].wire, t);
    circuit.resistors[layout.resistor_of_protection(p)].resistance = at_least(device ? device->cold : Resistance{});
  }
  circuit.resistors[layout.resistor_of_board()].resistance = wire_resistance(robot.board_wire, t);
  circuit.current_loads[0].current = board_current(robot, layout, setting);
  for (std::size_t o = 0; o < layout.outputs.size(); ++o) {
    const OutputPlace& place = layout.outputs[o];
    if (place.steady != nowhere) {
      circuit.current_loads[place.steady].current = regulated_current(robot, layout, o, setting.outputs[o]);
    }
    if (place.load == nowhere) continue;
    ChoppedLoad& load = circuit.chopped_loads[place.load];
    load.level = 0.0;
    if (setting.outputs[o].loading == robot::Loading::off) continue;
    const LoopParts parts = loop_parts(robot, layout, o, t);
    if (place.port != nowhere) load.limit = robot.board.ports[place.port].current_limit;
    if (const auto* motor = spec_at<robot::MotorDevice>(robot, place.device)) {
      if (auto set = set_motor(robot.outputs[o], *motor, parts, setting.outputs[o], t, load); !set) return set;
    } else if (const auto* on_off = spec_at<robot::OnOffDevice>(robot, place.device)) {
      set_on_off(*on_off, parts, setting.outputs[o], load);
    }
  }
  return {};
}

}  // namespace ringout::desk
