// Physical quantities as types: kept in SI, made by named factories, read back through a unit.
//
//   const Voltage u = volts(12);  const Current i = u / ohms(0.5);  i.in(amperes(1)) == 24
//
// Angle is a dimension of its own (decision 0001): a torque is energy per angle (N·m/rad), angular speed (rad/s) and
// frequency (1/s) do not mix, and a wheel's radius is length per angle, so that speed = radius · angular speed.
// Temperatures are absolute (K) unless a name says difference.
#pragma once

#include <cmath>
#include <compare>

namespace ringout {

// Exponents of kilogram, metre, second, ampere, kelvin, radian.
template <int Kg, int M, int S, int A, int K, int Rad>
struct Quantity {
  double si = 0.0;

  // Value in a unit: volts(12).in(volts(1)) == 12.
  [[nodiscard]] constexpr double in(Quantity unit) const { return si / unit.si; }

  auto operator<=>(const Quantity&) const = default;
  constexpr Quantity operator+(Quantity o) const { return {si + o.si}; }
  constexpr Quantity operator-(Quantity o) const { return {si - o.si}; }
  constexpr Quantity operator-() const { return {-si}; }
  constexpr Quantity operator*(double f) const { return {si * f}; }
  constexpr Quantity operator/(double f) const { return {si / f}; }
  constexpr Quantity& operator+=(Quantity o) {
    si += o.si;
    return *this;
  }
  constexpr Quantity& operator-=(Quantity o) {
    si -= o.si;
    return *this;
  }
};

template <int Kg, int M, int S, int A, int K, int Rad>
constexpr Quantity<Kg, M, S, A, K, Rad> operator*(double f, Quantity<Kg, M, S, A, K, Rad> q) {
  return {f * q.si};
}

template <int... X>
struct QuantityOf {
  using type = Quantity<X...>;
};
template <>
struct QuantityOf<0, 0, 0, 0, 0, 0> {
  using type = double;
};

template <int... X>
constexpr typename QuantityOf<X...>::type quantity_from_si(double si) {
  return typename QuantityOf<X...>::type{si};
}

template <int A1, int B1, int C1, int D1, int E1, int F1, int A2, int B2, int C2, int D2, int E2, int F2>
constexpr auto operator*(Quantity<A1, B1, C1, D1, E1, F1> a, Quantity<A2, B2, C2, D2, E2, F2> b) {
  return quantity_from_si<A1 + A2, B1 + B2, C1 + C2, D1 + D2, E1 + E2, F1 + F2>(a.si * b.si);
}

template <int A1, int B1, int C1, int D1, int E1, int F1, int A2, int B2, int C2, int D2, int E2, int F2>
constexpr auto operator/(Quantity<A1, B1, C1, D1, E1, F1> a, Quantity<A2, B2, C2, D2, E2, F2> b) {
  return quantity_from_si<A1 - A2, B1 - B2, C1 - C2, D1 - D2, E1 - E2, F1 - F2>(a.si / b.si);
}

template <int A, int B, int C, int D, int E, int F>
constexpr auto operator/(double a, Quantity<A, B, C, D, E, F> b) {
  return quantity_from_si<-A, -B, -C, -D, -E, -F>(a / b.si);
}

//                        kg  m   s   A   K  rad
using Mass = Quantity<1, 0, 0, 0, 0, 0>;
using Length = Quantity<0, 1, 0, 0, 0, 0>;
using Area = Quantity<0, 2, 0, 0, 0, 0>;
using Time = Quantity<0, 0, 1, 0, 0, 0>;
using Frequency = Quantity<0, 0, -1, 0, 0, 0>;
using Speed = Quantity<0, 1, -1, 0, 0, 0>;
using Acceleration = Quantity<0, 1, -2, 0, 0, 0>;
using Force = Quantity<1, 1, -2, 0, 0, 0>;
using Energy = Quantity<1, 2, -2, 0, 0, 0>;
using Power = Quantity<1, 2, -3, 0, 0, 0>;
using Current = Quantity<0, 0, 0, 1, 0, 0>;
using Charge = Quantity<0, 0, 1, 1, 0, 0>;
using Voltage = Quantity<1, 2, -3, -1, 0, 0>;
using Resistance = Quantity<1, 2, -3, -2, 0, 0>;
using Inductance = Quantity<1, 2, -2, -2, 0, 0>;
using Temperature = Quantity<0, 0, 0, 0, 1, 0>;
using Angle = Quantity<0, 0, 0, 0, 0, 1>;
using AngularSpeed = Quantity<0, 0, -1, 0, 0, 1>;
using Torque = Quantity<1, 2, -2, 0, 0, -1>;
using Inertia = Quantity<1, 2, 0, 0, 0, -2>;
using Damping = Quantity<1, 2, -1, 0, 0, -2>;
using MotorConstant = Quantity<1, 2, -2, -1, 0, -1>;  // N·m/(A·rad) = V·s/rad
using Radius = Quantity<0, 1, 0, 0, 0, -1>;           // metres of travel per radian

constexpr double pi = 3.14159265358979323846;

constexpr Mass kilograms(double v) {
  return {v};
}
constexpr Length metres(double v) {
  return {v};
}
constexpr Length millimetres(double v) {
  return {v * 1e-3};
}
constexpr Area square_millimetres(double v) {
  return {v * 1e-6};
}
constexpr Time seconds(double v) {
  return {v};
}
constexpr Time milliseconds(double v) {
  return {v * 1e-3};
}
constexpr Frequency hertz(double v) {
  return {v};
}
constexpr Speed metres_per_second(double v) {
  return {v};
}
constexpr Acceleration metres_per_second_squared(double v) {
  return {v};
}
constexpr Force newtons(double v) {
  return {v};
}
constexpr Energy joules(double v) {
  return {v};
}
constexpr Power watts(double v) {
  return {v};
}
constexpr Current amperes(double v) {
  return {v};
}
constexpr Charge ampere_hours(double v) {
  return {v * 3600.0};
}
constexpr Voltage volts(double v) {
  return {v};
}
constexpr Resistance ohms(double v) {
  return {v};
}
constexpr Inductance henries(double v) {
  return {v};
}
constexpr Temperature kelvins(double v) {
  return {v};
}
constexpr Temperature celsius(double v) {
  return {v + 273.15};
}
constexpr Angle radians(double v) {
  return {v};
}
constexpr Angle degrees(double v) {
  return {v * pi / 180.0};
}
constexpr Angle revolutions(double v) {
  return {v * 2.0 * pi};
}
constexpr AngularSpeed radians_per_second(double v) {
  return {v};
}
constexpr AngularSpeed rpm(double v) {
  return {v * 2.0 * pi / 60.0};
}
constexpr Torque newton_metres(double v) {
  return {v};
}
constexpr Inertia kilogram_square_metres(double v) {
  return {v};
}
constexpr Damping newton_metre_seconds(double v) {
  return {v};
}
constexpr MotorConstant volt_seconds_per_radian(double v) {
  return {v};
}
constexpr Radius metres_per_radian(double v) {
  return {v};
}

constexpr Acceleration standard_gravity = metres_per_second_squared(9.80665);  // ISO 80000-3, exact by definition

}  // namespace ringout
