#include "desk/netlist.h"

#include <fmt/format.h>

#include <cctype>
#include <cmath>

namespace ringout::desk {
namespace {

constexpr double creeping = 0.02;  // rad/s over which friction rises when a motor starts

struct Writer {
  std::string text;

  template <class... Values>
  void line(fmt::format_string<Values...> form, Values&&... values) {
    text += fmt::format(form, std::forward<Values>(values)...);
    text += '\n';
  }
};

std::string node_name(const Layout& layout, NodeIndex n) {
  return n == ground ? "0" : netlist_name(layout.nodes[n].name);
}

// The driver's voltage: as asked, or what holds the current at its limit.
std::string drive_of(const ChoppedLoad& load, const LoadState& state, const std::string& supply,
                     const std::string& speed) {
  const double level = std::copysign(load.level, state.motor.si);
  const char* nearer = level > 0.0 ? "min" : "max";
  const double sign = level > 0.0 ? 1.0 : -1.0;
  std::string asked = fmt::format("{:.12g}*V({})", level, supply);
  if (load.speed_is == SpeedIs::held) {
    const RunningCurrent& run = load.speed.si >= 0.0 ? load.mechanism.forward : load.mechanism.back;
    const Voltage held = load.loop * (run.steady + run.rising * load.speed) + load.k * load.speed;
    asked = fmt::format("{}({}, {:.12g})", nearer, asked, held.si);
  }
  if (!std::isfinite(load.limit.si)) return asked;
  return fmt::format("{}({}, {:.12g}+{:.12g}*{})", nearer, asked, sign * load.loop.si * load.limit.si, load.k.si,
                     speed);
}

void write_load(Writer& w, const std::string& name, const std::string& supply, const ChoppedLoad& load,
                const LoadState& state) {
  const bool turns = load.speed_is != SpeedIs::given && load.k.si > 0.0 && state.speed.si != 0.0;
  const std::string speed = turns ? fmt::format("V(speed_{})", name) : fmt::format("{:.12g}", state.speed.si);
  w.line("* {}: driver, loop, back-EMF, and the power it takes", name);
  w.line("Bdrive_{0} u_{0} 0 V = {1}", name, drive_of(load, state, supply, speed));
  w.line("Rloop_{0} u_{0} e_{0} {1:.12g}", name, load.loop.si);
  w.line("Vamps_{0} e_{0} b_{0} 0", name);
  w.line("Bback_{0} b_{0} 0 V = {1:.12g}*{2}", name, load.k.si, speed);
  w.line("Bsupply_{0} {1} 0 I = V(u_{0})*I(Vamps_{0})/V({1})", name, supply);
  if (!turns) return;
  const RunningCurrent& run = state.speed.si > 0.0 ? load.mechanism.forward : load.mechanism.back;
  w.line("* its shaft: torque in, torque of the mechanism out");
  w.line("Btorque_{0} 0 speed_{0} I = {1:.12g}*(I(Vamps_{0})-({2:.12g}))", name, load.k.si, run.steady.si);
  // A shaft without viscous load settles where its torque is nothing: a load too small to matter closes the node.
  const double viscous = std::max(load.k.si * run.rising.si, 1e-12);
  w.line("Rviscous_{0} speed_{0} 0 {1:.12g}", name, 1.0 / viscous);
}

std::string title_of(const std::string& what) {
  return fmt::format("* {}: written by ringout; run with ngspice -b", what);
}

}  // namespace

std::string netlist_name(const std::string& name) {
  std::string out;
  for (const char c : name) {
    const auto u = static_cast<unsigned char>(c);
    out += std::isalnum(u) != 0 ? static_cast<char>(std::tolower(u)) : '_';
  }
  return out;
}

Result<std::string> case_netlist(const robot::Robot& robot, const PlannedCase& planned) {
  CaseSolver solver(robot);
  const auto solved = solver.solve(planned.setting);
  if (!solved) return tl::unexpected<Error>(solved.error());
  const Layout& layout = solver.layout();
  const Circuit& circuit = solver.circuit();
  Writer w;
  w.line("{}", title_of(robot.name + ", load case " + planned.name));
  w.line("Vbattery inside 0 DC {:.12g}", circuit.sources[0].emf.si);
  w.line("Rbattery inside {} {:.12g}", node_name(layout, Layout::terminals), circuit.sources[0].internal.si);
  for (std::size_t r = 0; r < circuit.resistors.size(); ++r) {
    const Resistor& resistor = circuit.resistors[r];
    w.line("R{} {} {} {:.12g}", netlist_name(layout.branches[1 + r].name), node_name(layout, resistor.from),
           node_name(layout, resistor.to), resistor.resistance.si);
  }
  w.line("Iboard {} 0 DC {:.12g}", node_name(layout, layout.board), circuit.current_loads[0].current.si);
  std::string prints = "i(vbattery)";
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const std::size_t load = layout.outputs[o].load;
    if (const std::size_t steady = layout.outputs[o].steady; steady != nowhere) {
      w.line("I{} {} 0 DC {:.12g}", netlist_name(robot.outputs[o].name), node_name(layout, layout.outputs[o].node),
             circuit.current_loads[steady].current.si);
    }
    if (load == nowhere || circuit.chopped_loads[load].level == 0.0) continue;
    const std::string name = netlist_name(robot.outputs[o].name);
    write_load(w, name, node_name(layout, layout.outputs[o].node), circuit.chopped_loads[load],
               (*solved)->chopped_loads[load]);
    prints += fmt::format("\nprint i(vamps_{0})\nprint v(u_{0})", name);
  }
  for (NodeIndex n = 1; n < layout.nodes.size(); ++n) prints += fmt::format("\nprint v({})", node_name(layout, n));
  w.line(".options reltol=1e-9 abstol=1e-9 vntol=1e-9 gmin=1e-15");
  w.line(".control\nop\nset numdgt=9\nprint {}\nquit\n.endc\n.end", prints);
  return w.text;
}

std::string start_netlist(const std::string& title, const MotorStart& m, Time duration, int points) {
  Writer w;
  w.line("{}", title_of(title));
  w.line("Vbattery inside 0 DC {:.12g}", m.source.si);
  w.line("Rbefore inside supply {:.12g}", m.before.si);
  w.line("* driver, winding, back-EMF; the driver keeps the current at its limit");
  w.line("Bdrive u 0 V = min({:.12g}*V(supply), {:.12g}+{:.12g}*V(speed))", m.level, m.loop.si * m.limit.si, m.k.si);
  w.line("Rloop u r {:.12g}", m.loop.si);
  w.line("Lwinding r e {:.12g} IC=0", m.inductance.si);
  w.line("Vamps e b 0");
  w.line("Bback b 0 V = {:.12g}*V(speed)", m.k.si);
  w.line("Bsupply supply 0 I = V(u)*I(Vamps)/V(supply)");
  w.line("* shaft: its speed is a voltage, its inertia a capacitance, torques are currents");
  w.line("Btorque 0 speed I = {:.12g}*I(Vamps)", m.k.si);
  w.line("Cinertia speed 0 {:.12g} IC=0", m.inertia.si);
  w.line("Bfriction speed 0 I = {:.12g}*tanh(V(speed)/{})", m.k.si * m.resisting.steady.si, creeping);
  if (m.resisting.rising.si > 0.0) w.line("Rviscous speed 0 {:.12g}", 1.0 / (m.k.si * m.resisting.rising.si));
  w.line(".options reltol=1e-6 abstol=1e-9 vntol=1e-9 method=gear");
  const double step = std::min(duration.si / 2000.0, m.inductance.si / m.loop.si / 20.0);
  w.line(".control\nset numdgt=9\ntran {:.6g} {:.9g} 0 {:.6g} uic", step, duration.si, step);
  for (int n = 1; n <= points; ++n) {
    const double at = duration.si * n / points * (1.0 - 1e-9);
    w.line("meas tran i_{} find i(vamps) at={:.9g}\nmeas tran speed_{} find v(speed) at={:.9g}", n, at, n, at);
  }
  w.line("quit\n.endc\n.end");
  return w.text;
}

}  // namespace ringout::desk
