#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "robot/checker.h"
#include "robot/resolve.h"
#include "robot/robot_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

using enum Discipline;

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
