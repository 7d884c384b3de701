#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "cold/steps.h"

namespace ringout::cold {
namespace {

using robot::Robot;

constexpr double no_short_to_frame = 10e3;   // ohms
constexpr double no_short_in_sensor = 50.0;  // common practice: far above any short, below any sensor of small robots
constexpr double separate = 20.0;            // crossed rails: far above any conductor, below any electronics

using Steps = std::vector<Step>;

std::string range_for(double high) {
  if (std::isinf(high) || high >= 2e3) return "20 kohm, or continuity";
  return high < 190.0 ? "200 ohm" : "2 kohm";
}

Step step(std::string id, StepKind kind, std::string subject, std::string red, std::string black, Ohms ohms) {
  Step s;
  s.id = std::move(id);
  s.kind = kind;
  s.subject = std::move(subject);
  s.red = std::move(red);
  s.black = std::move(black);
  s.low = ohms.low;
  s.high = ohms.high;
  s.range = range_for(ohms.high);
  return s;
}

// What all electronics that stay connected to the rails draw: half of its resistance is still no short.
double rail_floor(const Robot& robot) {
  const auto* battery = robot.device_of(robot.battery.device).as<robot::BatteryDevice>();
  const double nominal = battery == nullptr ? 12.0 : battery->nominal.si;
  return 0.5 * nominal / std::max(0.05, robot.board.idle_current.si);
}

void add_rails(const Robot& robot, Steps& steps) {
  const std::string place = robot.battery.access.place;
  const auto add = [&](Step s, std::string prepare = {}) {
    s.place = place;
    s.prepare = std::move(prepare);
    steps.push_back(std::move(s));
  };
  add(step("meter.leads", StepKind::meter_leads, "", "the black tip", "the red tip", {0.0, 0.7}),
      "battery out, disconnect open; meter in ohms, lowest range");
  add(step("rails.short", StepKind::rail_short, "", "robot's battery plug, +", "robot's battery plug, -",
           {rail_floor(robot), open_circuit}),
      "disconnect closed, battery still out: only now all branches are reached; wait until the reading settles, "
      "capacitors charge from the meter");
  add(step("frame.plus", StepKind::frame_short, "", "robot's battery plug, +", "bare metal of the frame",
           {no_short_to_frame, open_circuit}));
  add(step("frame.minus", StepKind::frame_short, "", "robot's battery plug, -", "bare metal of the frame",
           {no_short_to_frame, open_circuit}));
}

Ohms feed_ohms(const Robot& robot, const std::string& protection_name) {
  Ohms sum = one_lead(robot.battery.wire);
  for (const auto* stage : robot.feed_chain(protection_name)) {
    sum = sum + one_lead(stage->wire);
    if (const auto* part = robot.device_of(stage->device).as<robot::ProtectionDevice>()) sum = sum + protection(*part);
  }
  return sum;
}

// The way back has as many metres, and no protection.
Ohms return_ohms(const Robot& robot, const std::string& protection_name) {
  Ohms sum = one_lead(robot.battery.wire);
  for (const auto* stage : robot.feed_chain(protection_name)) sum = sum + one_lead(stage->wire);
  return sum;
}

void add_feeds(const Robot& robot, Steps& steps) {
  for (const auto& p : robot.protections) {
    Step s = step(p.name + ".plus", StepKind::feed, p.name, "robot's battery plug, +", p.name + ", side of the load",
                  as_metered(feed_ohms(robot, p.name)));
    s.place = p.access.place;
    steps.push_back(std::move(s));
  }
  for (const auto& p : robot.protections) {
    const auto fed = std::find_if(robot.outputs.begin(), robot.outputs.end(),
                                  [&](const robot::Output& o) { return o.fed_by == p.name; });
    if (fed == robot.outputs.end()) continue;
    Step s = step(p.name + ".minus", StepKind::feed, p.name, "robot's battery plug, -",
                  fmt::format("supply plug of {}, -", fed->port), as_metered(return_ohms(robot, p.name)));
    s.prepare =
        fmt::format("supply plug of {} pulled: on the board the other returns would hide a broken one", fed->port);
    s.place = robot.board_access.place;
    steps.push_back(std::move(s));
  }
  if (robot.board_fed_by.empty()) return;
  const std::string board = robot.board.name + " supply";
  const Ohms plus = feed_ohms(robot, robot.board_fed_by) + one_lead(robot.board_wire);
  const Ohms minus = return_ohms(robot, robot.board_fed_by) + one_lead(robot.board_wire);
  const auto add = [&](Step s) {
    s.place = robot.board_access.place;
    if (s.id == "board.plus") s.prepare = "supply plug of the controller pulled";
    steps.push_back(std::move(s));
  };
  add(step("board.plus", StepKind::feed, "board", "robot's battery plug, +", board + " plug, +", as_metered(plus)));
  add(step("board.minus", StepKind::feed, "board", "robot's battery plug, -", board + " plug, -", as_metered(minus)));
  add(step("board.crossed", StepKind::feed_crossed, "board", "robot's battery plug, +", board + " plug, -",
           {separate, open_circuit}));
}

Ohms both_leads(const Robot& robot, const robot::Output& output) {
  const Ohms lead = one_lead(output.wire);
  return lead + lead + contacts(robot, output.connector, 2);
}

void add_loops(const Robot& robot, Steps& steps) {
  for (const auto& output : robot.outputs) {
    const robot::Device& device = robot.device_of(output.device);
    const Ohms load = across(device);
    if (load.high <= 0.0) continue;  // electronics: an ohmmeter tells nothing
    Step s = step(output.name + ".loop", StepKind::output_loop, output.name, "plug of " + output.port + ", +",
                  "plug of " + output.port + ", -", as_metered(load + both_leads(robot, output)));
    s.prepare = "plug of " + output.port + " pulled from the controller";
    if (has_brushes(device)) {
      s.readings = 5;
      s.prepare += "; five readings, the shaft turned a little by hand between them";
    }
    s.place = robot.board_access.place;
    steps.push_back(std::move(s));
  }
}

void add_switches(const Robot& robot, Steps& steps) {
  for (const auto& input : robot.inputs) {
    const robot::Device& device = robot.device_of(input.device);
    const auto* contact = device.as<robot::SwitchDevice>();
    if (contact == nullptr) continue;
    const Ohms lead = one_lead(input.wire);
    const Ohms closed = as_metered(lead + lead + contacts(robot, input.connector, 2) + Ohms{0.0, 0.3});
    const Ohms open{100e3, open_circuit};
    const auto add = [&](const char* end, StepKind kind, Ohms ohms, std::string prepare) {
      Step s = step(input.name + end, kind, input.name, "plug of " + input.port + ", signal",
                    "plug of " + input.port + ", return", ohms);
      s.prepare = std::move(prepare);
      s.place = robot.board_access.place;
      steps.push_back(std::move(s));
    };
    const std::string hand = input.hand_action.empty() ? "work " + input.name + " by hand" : input.hand_action;
    add(".rest", StepKind::switch_rest, contact->normally_closed ? closed : open,
        "plug of " + input.port + " pulled; nobody touches " + input.name);
    add(".worked", StepKind::switch_worked, contact->normally_closed ? open : closed, hand + " and hold it");
  }
}

// A lead beside the two of a motor or lamp: what it carries, and its end of the step's id.
struct Lead {
  const char* id;
  std::string name;
};

// Of what hangs on three or more leads; empty: two leads, which the device's own steps read.
std::vector<Lead> leads_of(const Robot& robot, robot::PointKind kind, const std::string& port_name) {
  const auto& pins = robot.port_of(port_name).pins;
  const auto pin = [&](std::size_t n) { return n < pins.size() ? fmt::format(" (pin {})", pins[n]) : std::string(); };
  std::vector<Lead> leads{{".plus", "supply"}, {".minus", "return"}};
  switch (kind) {
    case robot::PointKind::encoder:
      leads.push_back({".a", "channel A" + pin(0)});
      leads.push_back({".b", "channel B" + pin(1)});
      return leads;
    case robot::PointKind::bus_device:
      leads.push_back({".clock", "clock" + pin(0)});
      leads.push_back({".data", "data" + pin(1)});
      return leads;
    case robot::PointKind::analogue:
    case robot::PointKind::servo:
    case robot::PointKind::light:
      leads.push_back({".signal", "signal" + pin(0)});
      return leads;
    case robot::PointKind::bridge_motor:
    case robot::PointKind::on_off:
    case robot::PointKind::switch_input:
      break;
  }
  return {};
}

// What a device of three or more leads takes from the controller's supply, amperes; 0: the sheet does not say.
double supply_current(const robot::Device& device) {
  if (const auto* e = device.as<robot::EncoderDevice>()) return e->supply_current.si;
  if (const auto* a = device.as<robot::AnalogueDevice>()) return a->supply_current.si;
  if (const auto* b = device.as<robot::BusDevice>()) return b->supply_current.si;
  return 0.0;
}

// Supply against return of one port's plug, as many devices as hang on it: half of what their current means in ohms,
// where that is less than the usual limit.
void add_plug_supply(const Robot& robot, const std::string& name, const std::string& port, double amperes,
                     Steps& steps) {
  const double alone = amperes > 0.0 ? 0.5 * robot.board.logic.si / amperes : no_short_in_sensor;
  Step s = step(name + ".supply", StepKind::sensor_supply, name, "plug of " + port + ", supply",
                "plug of " + port + ", return", {std::min(no_short_in_sensor, alone), open_circuit});
  s.prepare = "plug of " + port + " pulled";
  s.place = robot.board_access.place;
  steps.push_back(std::move(s));
}

void add_sensor_supplies(const Robot& robot, Steps& steps) {
  std::map<std::string, double> on_port;
  for (const auto& input : robot.inputs) on_port[input.port] += supply_current(robot.device_of(input.device));
  for (const auto& input : robot.inputs) {
    if (leads_of(robot, input.kind, input.port).empty()) continue;
    add_plug_supply(robot, input.name, input.port, on_port[input.port], steps);
  }
  for (const auto& output : robot.outputs) {
    if (leads_of(robot, output.kind, output.port).empty()) continue;
    add_plug_supply(robot, output.name, output.port, 0.0, steps);
  }
}

// Both leads of each two-lead device to the device itself.
void add_conductors(const Robot& robot, Steps& steps) {
  for (const auto& output : robot.outputs) {
    if (across(robot.device_of(output.device)).high <= 0.0) continue;
    const Ohms lead = as_metered(one_lead(output.wire) + contacts(robot, output.connector, 1));
    for (const char* sign : {"+", "-"}) {
      Step s =
          step(output.name + (*sign == '+' ? ".plus" : ".minus"), StepKind::output_conductor, output.name,
               fmt::format("plug of {}, {}", output.port, sign), fmt::format("{} itself, {}", output.name, sign), lead);
      s.place = output.access.place;
      steps.push_back(std::move(s));
    }
  }
}

// Every lead of sensors, servos and lights, from the controller's plug to the device's own connector.
template <class Point>
void add_cores(const Robot& robot, const std::vector<Point>& points, Steps& steps) {
  for (const Point& point : points) {
    const Ohms lead = as_metered(one_lead(point.wire) + contacts(robot, point.connector, 1));
    for (const Lead& l : leads_of(robot, point.kind, point.port)) {
      Step s = step(point.name + l.id, StepKind::sensor_conductor, point.name,
                    fmt::format("plug of {}, {}", point.port, l.name),
                    fmt::format("connector of {} itself, {}", point.name, l.name.substr(0, l.name.find(" ("))), lead);
      if (l.id == std::string_view(".plus")) s.prepare = fmt::format("cable of {} unplugged at both ends", point.port);
      s.place = point.access.place;
      steps.push_back(std::move(s));
    }
  }
}

}  // namespace

std::vector<Step> dead_steps(const robot::Robot& robot) {
  Steps steps;
  add_rails(robot, steps);
  add_feeds(robot, steps);
  add_loops(robot, steps);
  add_switches(robot, steps);
  add_sensor_supplies(robot, steps);
  add_conductors(robot, steps);
  add_cores(robot, robot.outputs, steps);
  add_cores(robot, robot.inputs, steps);
  return steps;
}

}  // namespace ringout::cold
