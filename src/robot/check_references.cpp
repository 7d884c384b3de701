#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "robot/resolve.h"
#include "robot/robot_file.h"
#include "robot/table_reader.h"

// Each check is robust against a robot that is only half read: what is not there has been reported elsewhere.

namespace ringout::robot {

namespace {

struct Checker {
  const Robot& robot;
  Diagnostics& found;
  const std::set<std::string>& unsound;  // outputs of which kind, off or mechanism could not be read

  void add(Severity severity, Discipline owner, const Places& at, const char* key, std::string id, std::string message,
           std::string hint) {
    const Span place = at.of(key);
    found.add({severity, std::move(id), std::move(message), std::move(hint), place.line > 0 ? place : Span{1, 1, 1},
               robot.text ? robot.text->name() : std::string(), name_of(owner)});
  }
  void error(Discipline owner, const Places& at, const char* key, std::string id, std::string message,
             std::string hint = {}) {
    add(Severity::error, owner, at, key, std::move(id), std::move(message), std::move(hint));
  }
  void warning(Discipline owner, const Places& at, const char* key, std::string id, std::string message,
               std::string hint = {}) {
    add(Severity::warning, owner, at, key, std::move(id), std::move(message), std::move(hint));
  }

  template <class Spec>
  const Spec* spec(const std::string& device) const {
    const Device* d = robot.catalogue.device(device);
    return d == nullptr ? nullptr : d->as<Spec>();
  }

  void ends_of_travel(const Output& o);
  void end_switch(const Output& o, const char* key, const std::optional<std::string>& name, SensesWhat end);
  void clearance(const Output& o);
  void can_be_seen(const Output& o);
  void rated_voltage(const Output& o);
  void output_alone(const Output& o);
  void sensing(const Input& i);
  void end_switch_is_used(const Input& i);
  void encoder_speed(const Input& i, const Output& watched);
  void analogue_range(const Input& i);
  void sensor_covers_travel(const Input& i, const Output& watched);
  void bus_addresses();
  void owner_of(const std::string& owner, const std::string& what, const Places& at);
  void supply_tree();
  void disconnect();
};

using enum Discipline;

bool senses_end(SensesWhat what) {
  return what == SensesWhat::travel_low_end || what == SensesWhat::travel_high_end;
}

void Checker::ends_of_travel(const Output& o) {
  if (unsound.count(o.name) != 0) return;
  if (!o.mechanism || !o.mechanism->travel) return;
  const bool lifts = o.mechanism->lifted.si > 0;
  const bool measured = std::any_of(robot.inputs.begin(), robot.inputs.end(), [&](const Input& i) {
    return i.kind == PointKind::analogue && i.senses == SensesWhat::output_motion && i.senses_output == o.name;
  });
  for (const auto& [key, end, there] : {std::tuple{"low_switch", "low", o.low_switch.has_value()},
                                        std::tuple{"high_switch", "high", o.high_switch.has_value()}}) {
    if (there) continue;
    if (lifts) {
      error(wiring, o.at, "mechanism", "robot.lift-without-end-switch",
            fmt::format("\"{}\" lifts a load, but no switch ends its travel at the {} end", o.name, end),
            fmt::format("name the input: {} = \"...\"", key));
    } else if (!measured) {
      error(
          wiring, o.at, "mechanism", "robot.end-unguarded",
          fmt::format("the travel of \"{}\" has a hard stop at the {} end, and neither a switch nor an analogue sensor "
                      "of its motion tells when it is near",
                      o.name, end),
          fmt::format("name an end switch ({} = \"...\") or draw the sensor", key));
    }
  }
}

void Checker::end_switch(const Output& o, const char* key, const std::optional<std::string>& name, SensesWhat end) {
  if (!name) return;
  const Input* input = robot.input(*name);
  if (input == nullptr) return;
  const char* word = end == SensesWhat::travel_low_end ? "low end" : "high end";
  if (input->kind != PointKind::switch_input) {
    error(wiring, o.at, key, "robot.end-switch-is-none",
          fmt::format("\"{}\" ends the travel of \"{}\", but it is of kind {}", *name, o.name, name_of(input->kind)),
          "an end switch is an input of kind \"switch\"");
  } else if (input->senses != end || input->senses_output != o.name) {
    error(wiring, o.at, key, "robot.end-switch-disagrees",
          fmt::format("\"{}\" names \"{}\" for its {}, but that input is not drawn as the {} of \"{}\"", o.name, *name,
                      word, word, o.name),
          fmt::format("write at the input: senses = \"{}\" and of = \"{}\"", word, o.name));
  }
  if (unsound.count(o.name) == 0 && (!o.mechanism || !o.mechanism->travel)) {
    error(mechanics, o.at, key, "robot.end-switch-without-travel",
          fmt::format("\"{}\" has an end switch, but its mechanism has no travel", o.name),
          "give the mechanism its travel: travel = { low = \"0 mm\", high = \"300 mm\" }");
  }
}

void Checker::clearance(const Output& o) {
  if (unsound.count(o.name) != 0) return;
  if (!o.mechanism || !o.mechanism->travel) return;
  const Mechanism& m = *o.mechanism;
  const double way = m.travel->high - m.travel->low;
  if (m.bump_clearance <= 0) {
    error(mechanics, o.at, "mechanism", "robot.no-clearance",
          fmt::format("\"{}\" runs between hard stops, but the file states no bump clearance", o.name),
          "state how far from both stops a person puts it before proving, for example bump_clearance = \"100 mm\"");
  } else if (m.bump_clearance > 0.5 * way) {
    error(mechanics, o.at, "mechanism.bump_clearance", "robot.clearance-too-large",
          fmt::format("\"{}\" cannot stand that far from both of its stops at once", o.name),
          "the clearance is at most half of the travel");
  }
}

void Checker::can_be_seen(const Output& o) {
  if (unsound.count(o.name) != 0) return;
  const bool sensed = std::any_of(robot.inputs.begin(), robot.inputs.end(), [&](const Input& i) {
    return i.senses == SensesWhat::output_motion && i.senses_output == o.name;
  });
  const bool moves = o.kind == PointKind::bridge_motor || o.kind == PointKind::servo;
  if (!sensed && o.visible_sign.empty() && !(moves && !o.positive_means.empty())) {
    error(wiring, o.at, "name", "robot.cannot-be-seen",
          fmt::format("no sensor watches \"{}\", and the file does not say what a person would see of it", o.name),
          "say what a person sees or hears: visible_sign = \"mist from the nozzles\"");
  }
  if (moves && o.positive_means.empty()) {
    warning(mechanics, o.at, "name", "robot.no-positive-means",
            fmt::format("the file does not say what a positive value does to \"{}\"", o.name),
            "write for example positive_means = \"raises the tray\"");
  }
}

void Checker::rated_voltage(const Output& o) {
  const BatteryDevice* battery = spec<BatteryDevice>(robot.battery.device);
  if (battery == nullptr || robot.board.name.empty()) return;
  std::optional<Voltage> rated;
  if (const auto* motor = spec<MotorDevice>(o.device)) rated = motor->nominal;
  if (const auto* load = spec<OnOffDevice>(o.device)) rated = load->nominal;
  if (const auto* servo = spec<ServoDevice>(o.device)) rated = servo->nominal;
  if (!rated) return;
  const bool board_feeds = o.fed_by.empty() && (o.kind == PointKind::servo || o.kind == PointKind::light);
  const Voltage supply = board_feeds ? robot.board.logic : battery->nominal;
  if (std::abs(rated->si / supply.si - 1.0) <= 0.25) return;
  error(
      wiring, o.at, "device", "robot.wrong-voltage",
      fmt::format("\"{}\" is rated for {:g} V, and \"{}\" is fed from {:g} V", o.device, rated->si, o.name, supply.si),
      "choose a device for this supply, or feed it from another");
}

void Checker::output_alone(const Output& o) {
  if (o.max_level <= 0) {
    error(programming, o.at, "max_level", "robot.never-moves",
          fmt::format("the largest level of \"{}\" is zero: it can never act", o.name),
          "write for example max_level = \"60 %\"");
  }
  const BoardPort* port = robot.board.find(o.port);
  if (o.off == Off::brake && port != nullptr && !port->can_brake) {
    error(wiring, o.at, "off", "robot.port-cannot-brake",
          fmt::format("\"{}\" is to brake when off, but port {} cannot", o.name, o.port),
          "choose another port, or off = \"coast\"");
  }
  if (unsound.count(o.name) == 0 && o.off == Off::coast && o.mechanism && o.mechanism->lifted.si > 0 &&
      !o.mechanism->self_locking) {
    warning(mechanics, o.at, "off", "robot.load-can-fall",
            fmt::format("\"{}\" lifts a load, does not lock itself and coasts when off: the load can fall", o.name),
            "off = \"brake\" slows it; block or lower the load before work on it");
  }
}

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

void Checker::owner_of(const std::string& owner, const std::string& what, const Places& at) {
  if (owner.empty()) {
    warning(wiring, at, "name", "robot.no-owner", fmt::format("nobody owns {}", what),
            "write owner = \"mechanics\", \"wiring\" or \"programming\", or a person of [owners]");
    return;
  }
  for (const Discipline d : {mechanics, wiring, programming}) {
    if (owner == name_of(d)) return;
  }
  for (const auto& [discipline, person] : robot.owners) {
    if (person == owner) return;
  }
  warning(wiring, at, "owner", "robot.unknown-owner",
          fmt::format("{} is owned by \"{}\", who is not among [owners]", what, shown(owner)),
          "add the person to [owners], or name a discipline");
}

void Checker::supply_tree() {
  for (const Protection& p : robot.protections) {
    if (p.name.empty()) continue;
    const bool feeds =
        robot.board_fed_by == p.name ||
        std::any_of(robot.outputs.begin(), robot.outputs.end(), [&](const Output& o) { return o.fed_by == p.name; }) ||
        std::any_of(robot.protections.begin(), robot.protections.end(),
                    [&](const Protection& other) { return other.fed_from == p.name; });
    if (!feeds) {
      warning(wiring, p.at, "name", "robot.unused-protection", fmt::format("\"{}\" feeds nothing", p.name),
              "name it in fed_by of what it feeds, or take it out");
    }
  }
}

// A breaker that takes the supply from every output and from the board, so that its opening can be seen.
void Checker::disconnect() {
  if (robot.protections.empty() || robot.outputs.empty()) return;
  const bool all_known = robot.protection(robot.board_fed_by) != nullptr &&
                         std::all_of(robot.outputs.begin(), robot.outputs.end(), [&](const Output& o) {
                           return o.fed_by.empty() || robot.protection(o.fed_by) != nullptr;
                         });
  if (!all_known) return;
  const auto in_chain = [&](const std::string& fed_by, const Protection& p) {
    const auto chain = robot.feed_chain(fed_by);
    return std::find(chain.begin(), chain.end(), &p) != chain.end();
  };
  for (const Protection& p : robot.protections) {
    const auto* device = spec<ProtectionDevice>(p.device);
    if (device == nullptr || device->kind != ProtectionKind::breaker) continue;
    const bool all = in_chain(robot.board_fed_by, p) &&
                     std::all_of(robot.outputs.begin(), robot.outputs.end(),
                                 [&](const Output& o) { return o.fed_by.empty() || in_chain(o.fed_by, p); });
    if (all) return;
  }
  error(wiring, robot.board_at, "fed_by", "robot.no-disconnect",
        "no breaker takes the supply from all outputs and from the board at once",
        "a robot needs one disconnect within reach: draw it as a protection of kind breaker from which all is fed");
}

}  // namespace

void check_references(const Robot& robot, Diagnostics& found) {
  check_references_but({}, robot, found);
}

void check_references_but(const std::set<std::string>& unsound, const Robot& robot, Diagnostics& found) {
  Checker check{robot, found, unsound};
  for (const Discipline d : {mechanics, wiring, programming}) {
    if (robot.owners.count(name_of(d)) == 0) {
      check.warning(d, robot.owners_at, name_of(d), "robot.no-owner",
                    fmt::format("the file names nobody for {}", name_of(d)),
                    fmt::format("write under [owners]: {} = \"a person's name\"", name_of(d)));
    }
  }
  for (const Output& o : robot.outputs) {
    check.ends_of_travel(o);
    check.end_switch(o, "low_switch", o.low_switch, SensesWhat::travel_low_end);
    check.end_switch(o, "high_switch", o.high_switch, SensesWhat::travel_high_end);
    check.clearance(o);
    check.can_be_seen(o);
    check.rated_voltage(o);
    check.output_alone(o);
    check.owner_of(o.owner, fmt::format("output \"{}\"", shown(o.name)), o.at);
  }
  for (const Input& i : robot.inputs) {
    check.sensing(i);
    check.end_switch_is_used(i);
    check.analogue_range(i);
    check.owner_of(i.owner, fmt::format("input \"{}\"", shown(i.name)), i.at);
  }
  check.bus_addresses();
  check.supply_tree();
  check.disconnect();
}

}  // namespace ringout::robot
