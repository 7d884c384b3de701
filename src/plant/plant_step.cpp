// One step of a Plant: power, motion, then what the sensors see.
#include <algorithm>
#include <cmath>

#include "plant/plant_state.h"

namespace ringout::plant {
namespace {

constexpr double visible_turn = degrees(2).si;  // of the output shaft
constexpr double visible_length = millimetres(1).si;
constexpr double acts_above = 0.4;  // of nominal voltage: a pump runs, a lamp is seen

}  // namespace

double Plant::State::stored() const {
  double sum = 0.0;
  for (const MotorAxis& a : axes) sum += a.stored();
  return sum;
}

void Plant::State::plan_load(Load& load, double dt) {
  const BridgeCommand& c = commands[load.bridge];
  const bool cut = load.cut || !connected(load.intermittence);
  if (load.axis >= 0) {
    MotorAxis& axis = axes[static_cast<std::size_t>(load.axis)];
    if (cut) axis.break_circuit();
    load.draw = axis.plan(cut ? 0.0 : load.polarity * c.duty, cut ? robot::Off::coast : c.when_off,
                          supply.voltage(load.node), dt);
  } else if (load.on_off >= 0) {
    OnOffLoad& lamp = on_offs[static_cast<std::size_t>(load.on_off)];
    const double duty = cut ? 0.0 : std::abs(c.duty);
    double g = lamp.conductance * (1.0 + (lamp.inrush - 1.0) * lamp.cold);
    const double volts = supply.voltage(load.node);
    if (g * volts > lamp.current_limit) g = lamp.current_limit / volts;
    load.draw = {.fixed = 0.0, .per_volt = duty * g};
    if (lamp.inrush_s > 0.0) {
      const double toward = duty > 0.05 ? 0.0 : 1.0;
      const double tau = duty > 0.05 ? lamp.inrush_s : 10.0 * lamp.inrush_s;
      lamp.cold += (toward - lamp.cold) * std::min(1.0, dt / tau);
    } else {
      lamp.cold = 0.0;
    }
  } else {
    load.draw = {};
  }
  supply.add(load.node, load.draw);
}

void Plant::State::take(Load& load, double dt) {
  const double volts = supply.voltage(load.node);
  const double planned = load.draw.fixed + load.draw.per_volt * volts;
  double amperes_taken = planned;
  if (load.axis >= 0) {
    const double charge = axes[static_cast<std::size_t>(load.axis)].advance(volts, dt);
    supply.settle(load.node, charge - planned * dt);
    amperes_taken = charge / dt;
  } else if (load.on_off >= 0) {
    on_offs[static_cast<std::size_t>(load.on_off)].lost += planned * volts * dt;
    load.applied = load.draw.per_volt > 0.0 && !load.short_circuit ? std::abs(commands[load.bridge].duty) * volts : 0.0;
  }
  if (load.bank >= 0) bank_amperes[static_cast<std::size_t>(load.bank)] += amperes_taken;
}

void Plant::State::step_power(double dt) {
  for (std::size_t n = 0; n < waverings.size(); ++n) {
    Wavering& w = waverings[n];
    const double mean = w.open ? w.mean_open_s : w.mean_closed_s;
    if (unit_of(bits_of(seed, 0x57617665 + n, static_cast<std::uint64_t>(count))) < dt / mean) w.open = !w.open;
  }
  std::fill(bank_amperes.begin(), bank_amperes.end(), 0.0);
  supply.begin(dt);
  for (Load& load : loads) plan_load(load, dt);
  supply.solve();
  for (Load& load : loads) take(load, dt);
  supply.finish();
}

void Plant::State::step_sensors(Duration dt) {
  edges.clear();
  const double seconds = dt.in_seconds();
  for (std::size_t n = 0; n < encoders.size(); ++n) {
    EncoderState& e = encoders[n];
    e.step(sensor_shaft(e.axis, e.on_rotor), dt, connected(encoder_waver[n]), edges);
  }
  if (encoders.size() > 1) {
    // Stable: both channels of an encoder whose lead opens change at one moment, in the order told.
    std::stable_sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) {
      return a.offset != b.offset ? a.offset < b.offset : a.encoder < b.encoder;
    });
  }
  for (const SwitchState& s : switches) switch_pins[s.port] = !s.inverted_port;
  for (std::size_t n = 0; n < switches.size(); ++n) {
    SwitchState& s = switches[n];
    s.step(shaft_of(s.axis), seconds);
    const std::uint64_t chance =
        s.bouncing > 0.0 ? bits_of(seed, 0x53776974 + n, static_cast<std::uint64_t>(count)) : 0;
    if (s.closed(connected(switch_waver[n]), chance)) switch_pins[s.port] = s.inverted_port;
  }
  for (AnalogueState& a : analogues) a.step(sensor_shaft(a.axis, a.on_rotor), seconds);
}

void Plant::State::step_sight(double dt) {
  for (const Load& load : loads) {
    Sight& sight = sights[load.output];
    if (load.on_off >= 0) {
      if (load.applied > acts_above * on_offs[static_cast<std::size_t>(load.on_off)].nominal) sight.seconds_on += dt;
      continue;
    }
    if (load.axis < 0) continue;
    const double x = axes[static_cast<std::size_t>(load.axis)].position();
    sight.highest = std::max(sight.highest, x);
    sight.lowest = std::min(sight.lowest, x);
    if (sight.first != 0) continue;
    const double unit = unit_per_radian(load.output);
    const double least = unit != 1.0 ? visible_length / unit : visible_turn;
    if (x - sight.from > least) sight.first = 1;
    if (x - sight.from < -least) sight.first = -1;
  }
}

}  // namespace ringout::plant
