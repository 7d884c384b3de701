// The controller: its supply, its regulator, its ports and banks.
#include <algorithm>
#include <cmath>

#include "desk/rules/judge.h"
#include "robot/sensor_current.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;
using robot::PointKind;

void brown_out(Judge& j) {
  const CaseReport* worst = j.worst_case(While::any, [](const CaseReport& c) { return -c.above_brown_out.si; });
  if (worst == nullptr || worst->above_brown_out.si >= 0.0) return;
  j.find(j.robot.board_at.of("fed_by"), fmt::format("in \"{}\" the controller gets {:.1f} V, and fails below {:.1f} V",
                                                    worst->name, worst->controller.si, j.robot.board.brown_out.si));
}

void supply_low(Judge& j) {
  const CaseReport* worst = j.worst_case(While::any, [](const CaseReport& c) { return -c.above_supply_low.si; });
  if (worst == nullptr || worst->above_supply_low.si >= 0.0) return;
  j.find(j.robot.board_at.of("fed_by"),
         fmt::format("in \"{}\" the controller gets {:.1f} V, and turns all outputs off below {:.1f} V", worst->name,
                     worst->controller.si, j.robot.board.supply_low.si));
}

void input_voltage(Judge& j) {
  const Voltage full = j.battery().open_circuit_full;
  const auto most = j.robot.board.input_voltage_max;
  if (!most || full <= *most) return;
  j.find(j.robot.board_at.of("model"),
         fmt::format("the charged battery has {:g} V, and the controller's terminal bears {:g} V", full.si, most->si));
}

void supply_sense(Judge& j) {
  const Voltage pin = j.battery().open_circuit_full / j.robot.board.supply_divider_ratio;
  if (pin <= j.robot.board.logic) return;
  j.find(j.robot.board_at.of("model"),
         fmt::format("a charged battery puts {:.1f} V on the converter's pin for the supply, "
                     "which reads up to {:g} V",
                     pin.si, j.robot.board.logic.si));
}

void low_level(Judge& j) {
  const robot::Board& b = j.robot.board;
  if (b.supply_low > b.brown_out) return;
  j.find(j.robot.board_at.of("model"), fmt::format("outputs go off below {:g} V, and the controller fails below {:g} V",
                                                   b.supply_low.si, b.brown_out.si));
}

void low_level_high(Judge& j) {
  const Voltage empty = j.battery().open_circuit_empty;
  if (j.robot.board.supply_low < empty) return;
  j.find(j.robot.board_at.of("model"),
         fmt::format("outputs go off below {:g} V, and even at rest this battery falls to {:g} V before it is empty",
                     j.robot.board.supply_low.si, empty.si));
}

void live_in_reset(Judge& j) {
  if (j.robot.board.outputs_off_in_reset) return;
  const auto moves = std::count_if(j.robot.outputs.begin(), j.robot.outputs.end(),
                                   [](const robot::Output& o) { return o.kind == PointKind::bridge_motor; });
  if (moves == 0) return;
  j.find(j.robot.board_at.of("model"),
         fmt::format("nothing holds the {} off while the chip starts",
                     moves == 1 ? std::string("bridge of the motor") : fmt::format("bridges of {} motors", moves)));
}

Current sensor_current(const Judge& j) {
  Current sum;
  for (const robot::Input& i : j.robot.inputs) sum += robot::sensor_current(*j.device(i.device));
  return sum;
}

void sensor_supply(Judge& j) {
  const auto limit = j.robot.board.sensor_supply_limit;
  const Current sum = sensor_current(j);
  if (!limit || sum <= *limit) return;
  j.find(j.robot.board_at.of("model"),
         fmt::format("the sensors take {:.0f} mA together, and the board's sensor terminals "
                     "give {:.0f} mA",
                     sum.si * 1e3, limit->si * 1e3));
}

void regulator(Judge& j) {
  const auto limit = j.robot.board.regulator_limit;
  Current sum = j.robot.board.idle_current + sensor_current(j);
  for (const robot::Output& o : j.robot.outputs) {
    if (!o.fed_by.empty()) continue;
    if (const auto* servo = j.spec<robot::ServoDevice>(o.device)) sum = sum + servo->stall_current;
    if (const auto* light = j.spec<robot::LightDevice>(o.device)) sum = sum + light->current_per_pixel * light->pixels;
  }
  if (!limit || sum <= *limit) return;
  j.find(j.robot.board_at.of("model"),
         fmt::format("controller, sensors, servos and lights take up to {:.2f} A, and the regulator gives {:.2f} A",
                     sum.si, limit->si));
}

void port_voltage(Judge& j) {
  const Voltage full = j.battery().open_circuit_full;
  for (const robot::Output& o : j.robot.outputs) {
    const robot::BoardPort& port = j.port(o.port);
    if (o.fed_by.empty() || !port.voltage_max || full <= *port.voltage_max) continue;
    j.find(o.at.of("port"), fmt::format("the charged battery has {:g} V, and port {} bears {:g} V", full.si, o.port,
                                        port.voltage_max->si));
  }
}

double bank_ratio(const CaseReport& c, const std::string& bank) {
  for (const BankFigures& b : c.banks) {
    if (b.bank == bank) return b.share.ratio();
  }
  return 0.0;
}

void bank_over(Judge& j, While which) {
  const bool while_held = which == While::held;
  for (const robot::BoardBank& bank : j.robot.board.banks) {
    const auto ratio = [&](const CaseReport& c) { return bank_ratio(c, bank.name); };
    const CaseReport* usual = j.worst_case(While::lasting, ratio);
    const bool lasts = usual != nullptr && ratio(*usual) > 1.0;
    const CaseReport* worst = while_held ? j.worst_case(While::held, ratio) : usual;
    if (worst == nullptr || ratio(*worst) <= 1.0 || (while_held && lasts)) continue;
    j.find(j.robot.board_at.of("model"),
           fmt::format("bank {} carries {:.1f} A in \"{}\", and {:g} A is its limit", bank.name,
                       ratio(*worst) * bank.limit.si, worst->name, bank.limit.si));
  }
}

void port_over(Judge& j, While which) {
  const bool while_held = which == While::held;
  for (std::size_t o = 0; o < j.robot.outputs.size(); ++o) {
    const auto ratio = [&](const CaseReport& c) {
      const OutputFigures* f = j.figures(c, o);
      if (f == nullptr) return 0.0;
      return f->regime == Regime::current_limited ? 1.001 : f->port.ratio();
    };
    const CaseReport* usual = j.worst_case(While::lasting, ratio);
    const bool lasts = usual != nullptr && ratio(*usual) > 1.0;
    const CaseReport* worst = while_held ? j.worst_case(While::held, ratio) : usual;
    if (worst == nullptr || ratio(*worst) <= 1.0 || (while_held && lasts)) continue;
    const robot::Output& output = j.robot.outputs[o];
    j.find(output.at.of("port"), fmt::format("in \"{}\" port {} is at its limit of {:g} A with {}", worst->name,
                                             output.port, j.port(output.port).current_limit.si, output.name));
  }
}

void inrush(Judge& j) {
  for (const robot::Output& o : j.robot.outputs) {
    const auto* load = j.spec<robot::OnOffDevice>(o.device);
    if (load == nullptr) continue;
    const Current most = load->current * load->inrush_factor;
    const robot::BoardPort& port = j.port(o.port);
    if (most <= port.current_limit) continue;
    j.find(o.at.of("device"), fmt::format("switching {} on draws {:.1f} A for {:.0f} ms, and port {} gives {:g} A",
                                          o.name, most.si, load->inrush_time.si * 1e3, o.port, port.current_limit.si));
  }
}

constexpr Rule controller_rules[] = {
    {"controller.browns-out", error, wiring, "a controller that fails from want of supply",
     "It starts anew in the middle of a motion.", "Shorten or thicken the common leads, limit currents, or charge.",
     Home::desk, brown_out},
    {"controller.outputs-go-off", error, wiring, "a supply so low that the controller turns outputs off",
     "The robot stops whenever this case comes.", "Shorten or thicken the common leads, limit currents, or charge.",
     Home::desk, supply_low},
    {"controller.input-voltage", error, wiring, "more voltage than the controller's terminal bears",
     "It is damaged when a charged battery is plugged in.", "Put a regulator before it, or take another board.",
     Home::desk, input_voltage},
    {"controller.supply-not-readable", error, wiring, "a supply above what its converter reads",
     "Opening of the disconnect and a low battery are then not seen.", "Change the divider and supply_divider_ratio.",
     Home::desk, supply_sense},
    {"controller.low-level-too-low", error, wiring, "outputs go off later than the controller fails",
     "It fails with outputs on.", "Raise supply_low above brown_out.", Home::desk, low_level},
    {"controller.low-level-too-high", warning, wiring, "outputs go off while the battery is not yet empty",
     "A part of the charge can never be used.", "Lower supply_low, but keep it above brown_out.", Home::desk,
     low_level_high},
    {"controller.live-in-reset", warning, wiring, "bridges that nothing holds off while the chip starts",
     "Motors may twitch at power-up and after each reset.", "Fit pull-down resistors at the bridges' inputs.",
     Home::desk, live_in_reset},
    {"controller.sensor-supply", error, wiring, "sensors that take more than the board gives them",
     "Their supply sags, and their readings with it.", "Feed some of them from elsewhere.", Home::desk, sensor_supply},
    {"controller.regulator", error, wiring, "a regulator that must give more than it can",
     "It gets hot and shuts down, and the controller with it.", "Feed servos and lights by a supply of their own.",
     Home::desk, regulator},
    {"port.voltage", error, wiring, "a battery above what a port bears", "The bridge is destroyed at once.",
     "Take a board for this voltage.", Home::desk, port_voltage},
    {"port.over-limit", error, wiring, "a port at its current limit in ordinary use",
     "The driver holds the current back, and gets hot.",
     "Take a smaller motor, a higher gear ratio, or a larger driver.", Home::desk,
     [](Judge& j) { port_over(j, While::lasting); }},
    {"port.limit-at-stall", note, wiring, "a port at its current limit while its motor is held still",
     "The motor then gives less than its stall torque.", "Know it; count with the limited torque.", Home::desk,
     [](Judge& j) { port_over(j, While::held); }},
    {"port.inrush", warning, wiring, "a load whose inrush passes its port's limit",
     "The driver may shut off before a lamp is warm or a pump turns.",
     "Take a driver for the inrush, or a softer load.", Home::desk, inrush},
    {"bank.over-limit", error, wiring, "a bank of ports over its limit in ordinary use",
     "Its common traces and its sense resistor get too hot.", "Move an output to another bank.", Home::desk,
     [](Judge& j) { bank_over(j, While::lasting); }},
    {"bank.over-limit-stalled", note, wiring, "a bank over its limit while motors are held still",
     "It bears that for a short time only.", "Know it, or move an output to another bank.", Home::desk,
     [](Judge& j) { bank_over(j, While::held); }},
};

}  // namespace

void add_controller_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(controller_rules), std::end(controller_rules));
}

}  // namespace ringout::desk
