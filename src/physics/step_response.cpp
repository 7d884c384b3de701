#include "physics/step_response.h"

#include <cmath>
#include <limits>

#include "base/check.h"

namespace ringout::physics {
namespace {

using Complex = std::complex<double>;

// ω(t)/ω(∞) = 1 + (p2·e^(p1·t) − p1·e^(p2·t))/(p1 − p2), from zero speed and zero acceleration.
double speed_share(Complex p1, Complex p2, double t) {
  return (1.0 + (p2 * std::exp(p1 * t) - p1 * std::exp(p2 * t)) / (p1 - p2)).real();
}

double acceleration_share(Complex p1, Complex p2, double t) {
  return (p1 * p2 * (std::exp(p1 * t) - std::exp(p2 * t)) / (p1 - p2)).real();
}

}  // namespace

std::pair<Complex, Complex> poles(const LinearMotor& m) {
  const double half = 0.5 * (m.r.si / m.l.si + m.b.si / m.j.si);
  const double product = (m.r.si * m.b.si + m.k.si * m.k.si) / (m.l.si * m.j.si);
  const Complex root = std::sqrt(Complex(half * half - product));
  const Complex fast = -half - root;
  return {product / fast, fast};  // by the product: no cancellation where the poles lie far apart
}

AngularSpeed steady_speed(const LinearMotor& m, Voltage u) {
  return m.k * u / (m.r * m.b + m.k * m.k);
}

AngularSpeed speed_after_step(const LinearMotor& m, Voltage u, Time t) {
  const auto [slow, fast] = poles(m);
  RINGOUT_CHECK(std::abs(slow - fast) > 1e-9 * std::abs(fast));
  return steady_speed(m, u) * speed_share(slow, fast, t.si);
}

Current current_after_step(const LinearMotor& m, Voltage u, Time t) {
  const auto [slow, fast] = poles(m);
  RINGOUT_CHECK(std::abs(slow - fast) > 1e-9 * std::abs(fast));
  const double w = steady_speed(m, u).si;
  const double current =
      (m.j.si * w * acceleration_share(slow, fast, t.si) + m.b.si * w * speed_share(slow, fast, t.si)) / m.k.si;
  return amperes(current);
}

Time breakaway_time(const LinearMotor& m, Voltage u, Torque friction) {
  RINGOUT_CHECK(u.si > 0.0 && friction.si >= 0.0);
  const double share = (friction.si / m.k.si) / (u.si / m.r.si);
  if (share >= 1.0) return seconds(std::numeric_limits<double>::infinity());
  return -std::log1p(-share) * (m.l / m.r);
}

MotorMotion start_against(const LinearMotor& m, Voltage u, Torque friction, Time t) {
  const Time breakaway = breakaway_time(m, u, friction);
  if (t <= breakaway) return {.current = -std::expm1(-(t * m.r / m.l)) * (u / m.r), .speed = {}, .angle = {}};
  const auto [slow, fast] = poles(m);
  RINGOUT_CHECK(std::abs(slow - fast) > 1e-9 * std::abs(fast));
  // Speed and its slope are zero at breakaway, so the speed's course is that of an unloaded motor on a lower voltage,
  // U − R·M/K, shifted in time; the current carries M on top.
  const Voltage lower = u - m.r * (friction / m.k);
  const double s = (t - breakaway).si;
  const AngularSpeed steady = steady_speed(m, lower);
  const Complex ramp =
      (slow != 0.0 && fast != 0.0)
          ? (fast / slow * (std::exp(slow * s) - 1.0) - slow / fast * (std::exp(fast * s) - 1.0)) / (slow - fast)
          : Complex{};
  return {.current = friction / m.k + current_after_step(m, lower, seconds(s)),
          .speed = speed_after_step(m, lower, seconds(s)),
          .angle = radians(steady.si * (s + ramp.real()))};
}

}  // namespace ringout::physics
