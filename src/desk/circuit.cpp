#include "desk/circuit.h"

#include <cmath>

namespace ringout::desk {
namespace {

// Motor voltage, current and speed with a given voltage at the motor, and how the current follows that voltage.
struct MotorSide {
  Current current;
  AngularSpeed speed;
  double slope = 0.0;  // dI/du, A/V
};

MotorSide turned(const ChoppedLoad& load, Voltage u) {
  return {.current = (u - load.k * load.speed) / load.loop, .speed = load.speed, .slope = 1.0 / load.loop.si};
}

MotorSide found(const ChoppedLoad& load, Voltage u) {
  const Current standing = u / load.loop;
  const MechanismCurrent& m = load.mechanism;
  const bool forward = standing > m.forward.steady;
  if (load.k.si <= 0.0 || (!forward && standing >= m.back.steady)) {
    return {.current = standing, .speed = {}, .slope = 1.0 / load.loop.si};
  }
  const RunningCurrent& run = forward ? m.forward : m.back;
  const MotorConstant stiffness = load.loop * run.rising + load.k;
  const AngularSpeed speed = (u - load.loop * run.steady) / stiffness;
  return {.current = run.steady + run.rising * speed, .speed = speed, .slope = run.rising.si / stiffness.si};
}

// The speed that a mechanism takes at a held current.
AngularSpeed speed_at_current(const ChoppedLoad& load, Current i) {
  if (load.speed_is == SpeedIs::given) return load.speed;
  const MechanismCurrent& m = load.mechanism;
  const bool forward = i > m.forward.steady;
  const RunningCurrent& run = forward ? m.forward : m.back;
  if (load.k.si <= 0.0 || (!forward && i >= m.back.steady) || run.rising.si <= 0.0) return {};
  return (i - run.steady) / run.rising;
}

// A driver that takes a fixed power from the supply.
LoadState fixed_power(Regime regime, Voltage u, Current i, AngularSpeed speed, Voltage v) {
  const Current drawn = u * i / v;
  return {.regime = regime,
          .motor = u,
          .current = i,
          .speed = speed,
          .supply_current = drawn,
          .conductance = -drawn.si / v.si};
}

Regime regime_of(const ChoppedLoad& load, const MotorSide& side) {
  if (load.speed_is == SpeedIs::given) return Regime::given_speed;
  return side.speed.si == 0.0 && load.k.si > 0.0 ? Regime::standing : Regime::running;
}

}  // namespace

LoadState load_at(const ChoppedLoad& load, Voltage v) {
  if (load.level == 0.0) return {};
  Voltage u = load.level * v;
  if (load.speed_is == SpeedIs::held) {
    const RunningCurrent& run = load.speed.si >= 0.0 ? load.mechanism.forward : load.mechanism.back;
    const Current needed = run.steady + run.rising * load.speed;
    const Voltage asked = load.loop * needed + load.k * load.speed;
    if (std::abs(needed.si) <= load.limit.si && std::abs(asked.si) <= std::abs(u.si)) {
      return fixed_power(Regime::held_speed, asked, needed, load.speed, v);
    }
    u.si = std::copysign(u.si, asked.si);  // a controller turns its level to whichever side it needs
  }
  const MotorSide side = load.speed_is == SpeedIs::given ? turned(load, u) : found(load, u);
  if (std::abs(side.current.si) > load.limit.si) {
    const Current limited = side.current.si > 0.0 ? load.limit : -load.limit;
    const AngularSpeed speed = speed_at_current(load, limited);
    return fixed_power(Regime::current_limited, load.loop * limited + load.k * speed, limited, speed, v);
  }
  const double level = std::copysign(load.level, u.si);
  return {.regime = regime_of(load, side),
          .motor = u,
          .current = side.current,
          .speed = side.speed,
          .supply_current = level * side.current,
          .conductance = level * level * side.slope};
}

}  // namespace ringout::desk
