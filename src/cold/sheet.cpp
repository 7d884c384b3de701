#include "cold/sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cold/expected.h"

namespace ringout::cold {
namespace {

using robot::Robot;

constexpr double no_short_to_frame = 10e3;  // ohms
constexpr double no_short_in_sensor = 50.0;
constexpr double separate = 20.0;  // crossed rails: far above any conductor, below any electronics

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

void add_rails(const Robot& robot, Sheet& sheet) {
  const std::string place = robot.battery.access.place;
  const auto add = [&](Step s, std::string prepare = {}) {
    s.place = place;
    s.prepare = std::move(prepare);
    sheet.steps.push_back(std::move(s));
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

void add_feeds(const Robot& robot, Sheet& sheet) {
  for (const auto& p : robot.protections) {
    Step s = step(p.name + ".plus", StepKind::feed, p.name, "robot's battery plug, +", p.name + ", side of the load",
                  as_metered(feed_ohms(robot, p.name)));
    s.place = p.access.place;
    sheet.steps.push_back(std::move(s));
  }
  if (robot.board_fed_by.empty()) return;
  const std::string board = robot.board.name + " supply";
  const Ohms plus = feed_ohms(robot, robot.board_fed_by) + one_lead(robot.board_wire);
  const Ohms minus = one_lead(robot.battery.wire) + one_lead(robot.board_wire);
  const auto add = [&](Step s) {
    s.place = robot.board_access.place;
    if (s.id == "board.plus") s.prepare = "supply plug of the controller pulled";
    sheet.steps.push_back(std::move(s));
  };
  add(step("board.plus", StepKind::feed, "board", "robot's battery plug, +", board + " plug, +", as_metered(plus)));
  add(step("board.minus", StepKind::feed, "board", "robot's battery plug, -", board + " plug, -", as_metered(minus)));
  add(step("board.crossed", StepKind::feed_crossed, "board", "robot's battery plug, +", board + " plug, -",
           {separate, open_circuit}));
}

Ohms leads_of(const Robot& robot, const robot::Output& output) {
  const Ohms lead = one_lead(output.wire);
  return lead + lead + contacts(robot, output.connector, 2);
}

void add_loops(const Robot& robot, Sheet& sheet) {
  for (const auto& output : robot.outputs) {
    const robot::Device& device = robot.device_of(output.device);
    const Ohms load = across(device);
    if (load.high <= 0.0) continue;  // electronics: an ohmmeter tells nothing
    Step s = step(output.name + ".loop", StepKind::output_loop, output.name, "plug of " + output.port + ", +",
                  "plug of " + output.port + ", -", as_metered(load + leads_of(robot, output)));
    s.prepare = "plug of " + output.port + " pulled from the controller";
    if (has_brushes(device)) {
      s.readings = 5;
      s.prepare += "; five readings, the shaft turned a little by hand between them";
    }
    s.place = robot.board_access.place;
    sheet.steps.push_back(std::move(s));
  }
}

void add_switches(const Robot& robot, Sheet& sheet) {
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
      sheet.steps.push_back(std::move(s));
    };
    const std::string hand = input.hand_action.empty() ? "work " + input.name + " by hand" : input.hand_action;
    add(".rest", StepKind::switch_rest, contact->normally_closed ? closed : open,
        "plug of " + input.port + " pulled; nobody touches " + input.name);
    add(".worked", StepKind::switch_worked, contact->normally_closed ? open : closed, hand + " and hold it");
  }
}

void add_sensor_supplies(const Robot& robot, Sheet& sheet) {
  for (const auto& input : robot.inputs) {
    const robot::Device& device = robot.device_of(input.device);
    if (device.as<robot::EncoderDevice>() == nullptr && device.as<robot::AnalogueDevice>() == nullptr) continue;
    Step s = step(input.name + ".supply", StepKind::sensor_supply, input.name, "plug of " + input.port + ", supply",
                  "plug of " + input.port + ", return", {no_short_in_sensor, open_circuit});
    s.prepare = "plug of " + input.port + " pulled";
    s.place = robot.board_access.place;
    sheet.steps.push_back(std::move(s));
  }
}

// Both leads of each output to the device itself, in the order of the places, so that each cover comes off once.
void add_conductors(const Robot& robot, Sheet& sheet) {
  std::vector<const robot::Output*> outputs;
  for (const auto& output : robot.outputs) outputs.push_back(&output);
  std::stable_sort(outputs.begin(), outputs.end(), [](const auto* a, const auto* b) {
    if (a->access.effort != b->access.effort) return a->access.effort < b->access.effort;
    return a->access.place < b->access.place;
  });
  for (const auto* output : outputs) {
    if (across(robot.device_of(output->device)).high <= 0.0) continue;
    const Ohms lead = as_metered(one_lead(output->wire) + contacts(robot, output->connector, 1));
    for (const char* sign : {"+", "-"}) {
      Step s = step(output->name + (*sign == '+' ? ".plus" : ".minus"), StepKind::output_conductor, output->name,
                    fmt::format("plug of {}, {}", output->port, sign), fmt::format("{} itself, {}", output->name, sign),
                    lead);
      s.place = output->access.place;
      sheet.steps.push_back(std::move(s));
    }
  }
}

Step power_step(std::string id, std::string subject, std::string prepare, double low, double high) {
  Step s;
  s.id = std::move(id);
  s.kind = StepKind::first_power;
  s.subject = std::move(subject);
  s.prepare = std::move(prepare);
  s.low = low;
  s.high = high;
  s.range = "10 A";
  return s;
}

double sensor_current(const Robot& robot) {
  double sum = 0.0;
  for (const auto& input : robot.inputs) {
    const robot::Device& device = robot.device_of(input.device);
    if (const auto* e = device.as<robot::EncoderDevice>()) sum += e->supply_current.si;
    if (const auto* a = device.as<robot::AnalogueDevice>()) sum += a->supply_current.si;
    if (const auto* b = device.as<robot::BusDevice>()) sum += b->supply_current.si;
  }
  return sum;
}

void add_power(const Robot& robot, Sheet& sheet) {
  sheet.power.push_back(
      power_step("power.rails", "", "all branch protections out or open, disconnect closed", 0.0, 0.02));
  const double idle = robot.board.idle_current.si;
  if (!robot.board_fed_by.empty()) {
    sheet.power.push_back(power_step("power.board", robot.board_fed_by,
                                     robot.board_fed_by + " in: the controller alone", 0.4 * idle,
                                     1.5 * (idle + sensor_current(robot)) + 0.02));
  }
  for (const auto& p : robot.protections) {
    const bool feeds_others = std::any_of(robot.protections.begin(), robot.protections.end(),
                                          [&](const auto& other) { return other.fed_from == p.name; });
    if (feeds_others || p.name == robot.board_fed_by) continue;
    sheet.power.push_back(
        power_step("power." + p.name, p.name, p.name + " in as well; how much more flows than before", 0.0, 0.05));
  }
}

void add_words(const Robot& robot, Sheet& sheet) {
  sheet.cautions = {
      "Battery out and put away; disconnect open until the sheet closes it. Never an ohmmeter on a live circuit: it "
      "lies, and it breaks.",
      "Wait a minute for capacitors to discharge; measure volts across the rails first and go on below 0.1 V.",
      "Block or lower what can fall; springs and pressure released before hands go in.",
      "Meter in ohms, its leads in the ohms sockets, tips pressed on bare metal; hands off both tips.",
      "Local rules, the venue's rules and licensed practice come first; no figure here replaces them."};
  sheet.assumptions = {
      "readings by a two-lead handheld meter of 1 % and 0.2 ohm (from memory; your meter's sheet rules); its leads "
      "are deducted where meter.leads was read",
      "copper from 0 to 45 °C, stranded wire up to 5 % over solid, contacts up to three times their figure",
      "a still motor reads what its brushes happen to touch: the lower quartile of several readings counts",
      "no wire joins the supply to the frame on purpose; where one does, take it off first"};
  sheet.power_cautions = {
      "Only when every step with power off is good. Wheels off the floor, hands and sleeves away, outputs inhibited.",
      fmt::format("A bench supply at the battery's voltage, limited to {:.1f} A; without one, the battery with one "
                  "branch at a time.",
                  std::max(0.5, 4.0 * robot.board.idle_current.si)),
      "Disconnect within reach. Open it at once on smoke, smell, warmth, a sound, or a current above the limit."};
}

}  // namespace

Sheet cold_sheet(const robot::Robot& robot) {
  Sheet sheet;
  add_words(robot, sheet);
  add_rails(robot, sheet);
  add_feeds(robot, sheet);
  add_loops(robot, sheet);
  add_switches(robot, sheet);
  add_sensor_supplies(robot, sheet);
  add_conductors(robot, sheet);
  add_power(robot, sheet);
  return sheet;
}

const Step* find(const Sheet& sheet, const std::string& id) {
  for (const auto* steps : {&sheet.steps, &sheet.power}) {
    for (const Step& s : *steps) {
      if (s.id == id) return &s;
    }
  }
  return nullptr;
}

std::string ohms_text(double ohms) {
  if (std::isinf(ohms)) return "open";
  if (ohms >= 1e6) return fmt::format("{:.3g} Mohm", ohms / 1e6);
  if (ohms >= 1e3) return fmt::format("{:.3g} kohm", ohms / 1e3);
  return fmt::format("{:.{}f} ohm", ohms, ohms < 10.0 ? 2 : ohms < 100.0 ? 1 : 0);
}

std::string amperes_text(double amperes) {
  return amperes < 0.995 ? fmt::format("{:.0f} mA", amperes * 1e3) : fmt::format("{:.2f} A", amperes);
}

std::string expected_text(const Step& step) {
  if (step.kind == StepKind::first_power) return amperes_text(step.low) + " to " + amperes_text(step.high);
  if (std::isinf(step.high)) return "over " + ohms_text(step.low) + ", or open";
  if (step.low <= 0.0) return "up to " + ohms_text(step.high);
  return fmt::format("{:.2f} to {}", step.low, ohms_text(step.high));
}

}  // namespace ringout::cold
