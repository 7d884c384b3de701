#include "units/quantity.h"

#include <doctest/doctest.h>

#include <concepts>
#include <type_traits>

using namespace ringout;

static_assert(std::is_same_v<decltype(volts(1) / ohms(1)), Current>);
static_assert(std::is_same_v<decltype(volts(1) * amperes(1)), Power>);
static_assert(std::is_same_v<decltype(volt_seconds_per_radian(1) * amperes(1)), Torque>);
static_assert(std::is_same_v<decltype(volt_seconds_per_radian(1) * radians_per_second(1)), Voltage>);
static_assert(std::is_same_v<decltype(newton_metres(1) * radians_per_second(1)), Power>);
static_assert(std::is_same_v<decltype(newton_metres(1) * radians(1)), Energy>);
static_assert(std::is_same_v<decltype(kilograms(1) * standard_gravity), Force>);
static_assert(std::is_same_v<decltype(newtons(1) * metres_per_radian(1)), Torque>);
static_assert(std::is_same_v<decltype(radians_per_second(1) * metres_per_radian(1)), Speed>);
static_assert(std::is_same_v<decltype(kilogram_square_metres(1) * radians_per_second(1) / seconds(1)), Torque>);
static_assert(std::is_same_v<decltype(henries(1) / ohms(1)), Time>);
static_assert(std::is_same_v<decltype(volts(1) / volts(1)), double>);
static_assert(std::is_same_v<decltype(1.0 / seconds(1)), Frequency>);
static_assert(sizeof(Voltage) == sizeof(double));

template <class A, class B>
concept Addable = requires(A a, B b) {
  a + b;
};
static_assert(Addable<Voltage, Voltage>);
static_assert(!Addable<Voltage, Current>);
static_assert(!Addable<AngularSpeed, Frequency>);
static_assert(!Addable<Torque, Energy>);
static_assert(!std::convertible_to<double, Voltage>);

TEST_CASE("units convert") {
  CHECK(rpm(60).in(revolutions(1) / seconds(1)) == doctest::Approx(1.0));
  CHECK(degrees(180).in(radians(1)) == doctest::Approx(pi));
  CHECK(celsius(20).in(kelvins(1)) == doctest::Approx(293.15));
  CHECK(ampere_hours(1).si == doctest::Approx(3600.0));
  CHECK((volts(12) / ohms(0.5)).in(amperes(1)) == doctest::Approx(24.0));
}
