#include "desk/motor_start.h"

#include <algorithm>
#include <cmath>

namespace ringout::desk {
namespace {

constexpr double steps_per_time_constant = 40.0;
constexpr double settled_after = 6.0;  // mechanical time constants

struct State {
  double i = 0.0;
  double w = 0.0;
};

struct Electric {
  double u = 0.0;
  double supply = 0.0;
};

Electric electric_at(const MotorStart& m, const State& s) {
  const double full = m.source.si - m.before.si * m.level * s.i;
  const double lowered = m.loop.si * m.limit.si + m.k.si * s.w;
  if (m.level * full <= lowered) return {.u = m.level * full, .supply = full};
  const double root = m.source.si * m.source.si - 4.0 * m.before.si * lowered * s.i;
  return {.u = lowered, .supply = 0.5 * (m.source.si + std::sqrt(std::max(root, 0.0)))};
}

State rate_at(const MotorStart& m, const State& s) {
  const double u = electric_at(m, s).u;
  const double left = s.i - m.resisting.steady.si - m.resisting.rising.si * s.w;
  const bool moves = s.w > 0.0 || left > 0.0;
  return {.i = (u - m.loop.si * s.i - m.k.si * s.w) / m.inductance.si, .w = moves ? m.k.si * left / m.inertia.si : 0.0};
}

State moved(const State& s, const State& rate, double dt) {
  return {.i = s.i + dt * rate.i, .w = s.w + dt * rate.w};
}

State stepped(const MotorStart& m, const State& s, double dt) {
  const State a = rate_at(m, s);
  const State b = rate_at(m, moved(s, a, 0.5 * dt));
  const State c = rate_at(m, moved(s, b, 0.5 * dt));
  const State d = rate_at(m, moved(s, c, dt));
  return {.i = s.i + dt / 6.0 * (a.i + 2.0 * b.i + 2.0 * c.i + d.i),
          .w = std::max(0.0, s.w + dt / 6.0 * (a.w + 2.0 * b.w + 2.0 * c.w + d.w))};
}

Error no_motor(const std::string& output, const std::string& why) {
  return {ErrorKind::bad_input, "desk.no-motor", output + " " + why, "name a motor whose sheet states it"};
}

}  // namespace

Result<MotorStart> motor_start(const robot::Robot& robot, const Layout& layout, std::size_t output) {
  const robot::Output& out = robot.outputs[output];
  const OutputPlace& place = layout.outputs[output];
  const auto* device = motor_of(robot, layout, output);
  if (device == nullptr) return tl::unexpected<Error>(no_motor(out.name, "is no motor"));
  const auto row = motor_row(*device);
  if (!row) return tl::unexpected<Error>(row.error());
  Circuit circuit = layout.circuit;
  const CaseSetting off = setting_of(robot, layout, {});
  if (auto set = set_values(robot, layout, off, circuit); !set) return tl::unexpected<Error>(set.error());
  const physics::MotorConstants motor = motor_at(*device, row->constants, robot.ambient);
  MotorStart m{.level = out.max_level};
  m.inductance = device->inductance;
  m.inertia = inertia_at_rotor(*device, out.mechanism);
  m.k = motor.k;
  m.loop = loop_parts(robot, layout, output, robot.ambient).total() + motor.winding;
  m.resisting = mechanism_current(motor, out.mechanism).forward;
  m.limit = place.port == nowhere ? Current{1e9} : robot.board.ports[place.port].current_limit;
  if (m.inductance.si <= 0.0 || m.inertia.si <= 0.0 || m.level <= 0.0) {
    return tl::unexpected<Error>(no_motor(out.name, "has no inductance, inertia or level"));
  }
  // With the controller's draw fixed, the supply as the port sees it is a source behind a resistance.
  const Resistance shared_before = circuit.sources[0].internal + circuit.resistors[0].resistance;
  m.before = shared_before;
  Resistance shared = shared_before;
  std::vector<std::size_t> board_chain;
  for (std::size_t p = layout.board_fed_by; p != nowhere; p = layout.fed_from[p]) board_chain.push_back(p);
  for (std::size_t p = layout.output_fed_by[output]; p != nowhere; p = layout.fed_from[p]) {
    const Resistance r = circuit.resistors[layout.resistor_of_wire(p)].resistance +
                         circuit.resistors[layout.resistor_of_protection(p)].resistance;
    m.before += r;
    if (std::find(board_chain.begin(), board_chain.end(), p) != board_chain.end()) shared += r;
  }
  m.source = circuit.sources[0].emf - shared * circuit.current_loads[0].current;
  return m;
}

Time start_duration(const MotorStart& m) {
  const double resistance = m.loop.si + m.level * m.level * m.before.si;
  const double electric = m.inductance.si / resistance;
  const double full = m.level * m.source.si / resistance;
  if (std::min(full, m.limit.si) <= m.resisting.steady.si) return {10.0 * electric};
  const double mechanical = resistance * m.inertia.si / (m.k.si * m.k.si);
  // At its limit a motor speeds up evenly and so takes longer.
  const double limited = std::max(1.0, full / m.limit.si);
  return {settled_after * mechanical * limited + 10.0 * electric};
}

std::vector<StartPoint> start_curve(const MotorStart& m, Time duration, int points) {
  const double electric = m.inductance.si / (m.loop.si + m.level * m.level * m.before.si);
  const double spacing = duration.si / points;
  const int steps = std::max(1, static_cast<int>(std::ceil(spacing / electric * steps_per_time_constant)));
  std::vector<StartPoint> curve;
  State s;
  for (int n = 0; n <= points; ++n) {
    curve.push_back({.at = {spacing * n}, .supply = {electric_at(m, s).supply}, .current = {s.i}, .speed = {s.w}});
    for (int k = 0; n < points && k < steps; ++k) s = stepped(m, s, spacing / steps);
  }
  return curve;
}

}  // namespace ringout::desk
