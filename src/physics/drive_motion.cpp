#include "physics/drive_motion.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"

namespace ringout::physics {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// dω/dt = a − b·ω, in the frame in which the motion is positive; SI.
struct Line {
  double a = 0.0;
  double b = 0.0;
  [[nodiscard]] double at(double w) const { return a - b * w; }
};

struct Step {
  double time = 0.0;
  double angle = 0.0;
};

// −ln(1 − x)/x and (z − 1 + e^(−z))/z², both without cancellation near 0.
double log_share(double x) {
  return std::abs(x) < 1e-6 ? 1.0 + x / 2.0 + x * x / 3.0 : -std::log1p(-x) / x;
}
double ramp_share(double z) {
  return std::abs(z) < 1e-3 ? 0.5 - z / 6.0 + z * z / 24.0 - z * z * z / 120.0 : (z + std::expm1(-z)) / (z * z);
}

double angle_in(Line l, double w, double t) {
  return w * t + l.at(w) * t * t * ramp_share(l.b * t);
}

// From w to `to` along the line; nothing when it does not lead there.
std::optional<Step> along(Line l, double w, double to) {
  if (to == w) return Step{};
  const double slope = l.at(w);
  if ((to - w) * slope <= 0.0 || (to - w) * l.at(to) <= 0.0) return std::nullopt;
  const double t = (to - w) / slope * log_share(l.b * (to - w) / slope);
  return Step{.time = t, .angle = angle_in(l, w, t)};
}

// The equation of motion in the frame of the motion: torque of the motor over speed, and the load's.
struct Frame {
  double sign = 1.0;
  double rotor = 0.0;  // N²·Jm
  double load = 0.0;   // Jl
  Line motor;          // torque at the output before gear loss, friction of the motor taken off
  Line opposing;       // M(ω) = a − b·ω, so b = −viscous
  double driving = 1.0;
  double driven = 1.0;

  // Sign of the torque that the gear passes on, whatever e is: Jl·motor + N²·Jm·M.
  [[nodiscard]] Line passed() const {
    return {load * motor.a + rotor * opposing.a, load * motor.b + rotor * opposing.b};
  }
  [[nodiscard]] Line motion(double e) const {
    const double mass = rotor + e * load;
    return {(motor.a - e * opposing.a) / mass, (motor.b - e * opposing.b) / mass};
  }
};

enum class Feed { driven, shorted, open };

Frame frame_of(const MovingDrive& m, Drive drive, Feed feed, double sign) {
  const DriveTrain& t = m.train;
  const double n = t.gear.ratio;
  const double k = n * t.motor.k.si;
  RINGOUT_CHECK(n > 0.0 && k > 0.0 && t.motor.winding.si > 0.0);
  RINGOUT_CHECK(m.rotor.si >= 0.0 && m.load.si >= 0.0 && m.rotor.si + m.load.si > 0.0);
  Frame f;
  f.sign = sign;
  f.rotor = n * n * m.rotor.si;
  f.load = m.load.si;
  f.driving = 1.0 / t.gear.efficiency;
  f.driven = back_efficiency(t.gear);
  f.opposing = {sign * t.load.weight.si + t.load.friction.si, -t.load.viscous.si};
  const double friction = k * t.motor.free_current.si;
  if (feed == Feed::open) {
    f.motor = {-friction, 0.0};
  } else {
    const double r = total_resistance(t, feed == Feed::shorted ? 0.0 : drive.duty).si;
    const double u = feed == Feed::shorted ? 0.0 : sign * drive.duty * drive.source.si;
    f.motor = {k * u / r - friction, k * k / r};
  }
  return f;
}

// e where the motion goes through w toward higher (+1) or lower (−1) speed.
double factor_at(const Frame& f, double w, double toward) {
  const Line p = f.passed();
  double torque = p.at(w);
  if (std::abs(torque) <= 1e-12 * (std::abs(p.a) + std::abs(p.b * w))) torque = -p.b * toward;
  return torque >= 0.0 ? f.driving : f.driven;
}

double acceleration_at(const Frame& f, double w, double toward) {
  const double e = factor_at(f, w, toward);
  if (f.rotor + e * f.load <= 0.0) return f.motor.at(w) > 0.0 ? infinity : -infinity;
  return f.motion(e).at(w);
}

// The speed between w and `to`, other than these, where e changes; `to` if there is none.
double next_bend(const Frame& f, double w, double to) {
  const Line p = f.passed();
  if (p.b == 0.0) return to;
  const double bend = p.a / p.b;
  const double margin = 1e-12 * std::max(std::abs(w), std::abs(bend));
  return bend > std::min(w, to) + margin && bend < std::max(w, to) - margin ? bend : to;
}

// A self-locking gear in front of a rotor without inertia stops at once.
std::optional<Step> run(const Frame& f, double from, double to) {
  Step total;
  double w = from;
  for (int piece = 0; piece < 2 && w != to; ++piece) {
    const double end = next_bend(f, w, to);
    const double e = factor_at(f, w, to - w);
    if (f.rotor + e * f.load <= 0.0) {
      if (end > w) return std::nullopt;
      w = end;
      continue;
    }
    const auto step = along(f.motion(e), w, end);
    if (!step) return std::nullopt;
    total.time += step->time;
    total.angle += step->angle;
    w = end;
  }
  return total;
}

Run signed_run(const Frame& f, Step s, double ended) {
  return {.time = seconds(s.time), .angle = radians(f.sign * s.angle), .ended = radians_per_second(f.sign * ended)};
}

// Where the acceleration comes to zero, starting from rest; infinite if it never does; nothing if it does not start.
std::optional<double> settled_speed(const Frame& f) {
  double w = 0.0;
  if (acceleration_at(f, 0.0, 1.0) <= 0.0) return std::nullopt;
  for (int piece = 0; piece < 2; ++piece) {
    const double end = next_bend(f, w, infinity);
    const Line l = f.motion(factor_at(f, w, 1.0));
    if (l.b > 0.0 && l.a / l.b <= end) return l.a / l.b;
    if (end == infinity) break;
    w = end;
  }
  return infinity;
}

// From rest for a given time.
Run run_for(const Frame& f, double time) {
  const auto settled = settled_speed(f);
  if (!settled) return {};
  double w = 0.0;
  Step done;
  for (int piece = 0; piece < 2; ++piece) {
    const double end = std::min(next_bend(f, w, infinity), *settled);
    const Line l = f.motion(factor_at(f, w, 1.0));
    const auto step = end < *settled ? along(l, w, end) : std::nullopt;
    if (step && done.time + step->time < time) {
      done = {done.time + step->time, done.angle + step->angle};
      w = end;
      continue;
    }
    const double left = time - done.time;
    done.angle += angle_in(l, w, left);
    w += l.b * left < 1e-9 ? l.at(w) * left : -l.at(w) / l.b * std::expm1(-l.b * left);
    break;
  }
  done.time = time;
  return signed_run(f, done, w);
}

}  // namespace

std::optional<Run> start_up(const MovingDrive& m, Drive drive, double fraction) {
  RINGOUT_CHECK(fraction > 0.0 && fraction < 1.0);
  for (const double sign : {1.0, -1.0}) {
    const Frame f = frame_of(m, drive, Feed::driven, sign);
    const auto settled = settled_speed(f);
    if (!settled) continue;
    const auto step = run(f, 0.0, fraction * *settled);
    if (step) return signed_run(f, *step, fraction * *settled);
  }
  return std::nullopt;
}

Run after(const MovingDrive& m, Drive drive, Time t) {
  RINGOUT_CHECK(t.si >= 0.0);
  for (const double sign : {1.0, -1.0}) {
    const Frame f = frame_of(m, drive, Feed::driven, sign);
    if (settled_speed(f)) return run_for(f, t.si);
  }
  return {.time = t, .angle = {}, .ended = {}};
}

std::optional<Run> stop(const MovingDrive& m, AngularSpeed from, Unpowered how) {
  const double sign = from.si >= 0.0 ? 1.0 : -1.0;
  const Frame f = frame_of(m, {}, how == Unpowered::brake ? Feed::shorted : Feed::open, sign);
  // A brake alone only creeps toward rest; that, too, is nothing: no time is finite.
  const auto step = run(f, sign * from.si, 0.0);
  if (!step) return std::nullopt;
  return signed_run(f, *step, 0.0);
}

Current braking_current(const DriveTrain& t, AngularSpeed from) {
  return -(t.motor.k * (t.gear.ratio * from)) / total_resistance(t, 0.0);
}

LiftFigures lift_figures(const DriveTrain& t) {
  RINGOUT_CHECK(t.load.weight.si != 0.0);
  const double s = t.load.weight.si > 0.0 ? 1.0 : -1.0;
  const Torque weight = s * t.load.weight;
  const MotorConstant k = t.motor.k * t.gear.ratio;
  const Torque motor_friction = k * t.motor.free_current;
  const double back = back_efficiency(t.gear);
  const Torque lets_go = back * (weight - t.load.friction) - motor_friction;
  LiftFigures l;
  l.lets_go_below = lets_go.si > 0.0 ? s * (lets_go / k) : Current{};
  l.frictionless = s * (weight / k);
  l.rises_above = s * ((weight + t.load.friction) / (t.gear.efficiency * k) + t.motor.free_current);
  if (lets_go.si <= 0.0) return l;
  l.when_cut = WhenCut::falls;
  const Damping by_motor = k * k / total_resistance(t, 0.0);
  const Damping by_load = back * t.load.viscous;
  if (by_load.si > 0.0) l.fall_coasting = -s * (lets_go / by_load);
  l.fall_braked = -s * (lets_go / (by_motor + by_load));
  return l;
}

}  // namespace ringout::physics
