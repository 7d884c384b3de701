// For the tests of this folder: chance with a fixed seed, other base units, and a plain Runge-Kutta integrator.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "physics/drive_motion.h"
#include "units/quantity.h"

namespace ringout::physics::testing {

// The same on every machine, unlike the standard distributions.
class Chance {
 public:
  explicit Chance(std::uint64_t seed) : state_(seed) {}
  double between(double low, double high) { return low + (high - low) * unit(); }
  double log_between(double low, double high) { return low * std::pow(high / low, unit()); }
  bool coin() { return unit() < 0.5; }

 private:
  double unit() {
    state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(state_ >> 11) * 0x1p-53;
  }
  std::uint64_t state_;
};

// The same quantity counted in other base units: kilogram, metre, second, ampere, kelvin, radian.
using BaseUnits = std::array<double, 6>;
template <int Kg, int M, int S, int A, int K, int Rad>
Quantity<Kg, M, S, A, K, Rad> in_units(const BaseUnits& u, Quantity<Kg, M, S, A, K, Rad> q) {
  return {q.si * std::pow(u[0], Kg) * std::pow(u[1], M) * std::pow(u[2], S) * std::pow(u[3], A) * std::pow(u[4], K) *
          std::pow(u[5], Rad)};
}

// A lift or a wheel within what small robots have.
inline MovingDrive random_drive(Chance& chance) {
  MovingDrive m;
  DriveTrain& t = m.train;
  t.motor = {.winding = ohms(chance.log_between(0.1, 20)),
             .k = volt_seconds_per_radian(chance.log_between(0.003, 0.06)),
             .free_current = amperes(chance.between(0.0, 0.3))};
  t.gear = {.ratio = chance.log_between(1, 200), .efficiency = chance.between(0.4, 1.0), .back_efficiency = {}};
  if (chance.coin()) t.gear.back_efficiency = chance.between(0.0, 1.0);
  t.driver = ohms(chance.between(0.0, 0.3));
  t.leads = ohms(chance.between(0.0, 0.3));
  t.before_driver = ohms(chance.between(0.0, 0.2));
  const double strength = t.gear.ratio * t.motor.k.si * 12.0 / t.motor.winding.si;
  t.load.weight = newton_metres(chance.between(-0.6, 0.6) * strength);
  t.load.friction = newton_metres(chance.between(0.0, 0.2) * strength);
  t.load.viscous = newton_metre_seconds(chance.between(0.0, 0.3) * strength / (12.0 / (t.gear.ratio * t.motor.k.si)));
  m.rotor = kilogram_square_metres(chance.log_between(1e-7, 1e-4));
  m.load = kilogram_square_metres(m.rotor.si * t.gear.ratio * t.gear.ratio * chance.log_between(0.05, 20));
  return m;
}

template <std::size_t N, class Slope>
std::array<double, N> runge_kutta(std::array<double, N> y, double dt, const Slope& slope) {
  const auto moved = [&](const std::array<double, N>& by, double h) {
    std::array<double, N> z = y;
    for (std::size_t n = 0; n < N; ++n) z[n] += h * by[n];
    return z;
  };
  const auto a = slope(y);
  const auto b = slope(moved(a, dt / 2));
  const auto c = slope(moved(b, dt / 2));
  const auto d = slope(moved(c, dt));
  for (std::size_t n = 0; n < N; ++n) y[n] += dt / 6 * (a[n] + 2 * b[n] + 2 * c[n] + d[n]);
  return y;
}

}  // namespace ringout::physics::testing
