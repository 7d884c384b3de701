// Mechanisms and moves against published examples. Marks as in motor_figures_test.cpp.
#include <doctest/doctest.h>

#include <cmath>

#include "physics/mechanism.h"
#include "physics/trajectory.h"

using namespace ringout;
using namespace ringout::physics;

// F1: G. K. Dubey, Fundamentals of Electrical Drives, ex. 2.1 p. 16 (read, FOSSEE copy): motor 0.2 kg·m²; a load of
// 10 kg·m² and 10 N·m through a gear that slows ten times, 90 %; a hoist of 1000 kg at 1.5 m/s, 85 %; 1420 rpm. It
// takes g = 9.81. Printed 0.4 kg·m² and 117.53 N·m: five figures.
TEST_CASE("F1: inertia and torque at the motor") {
  const AngularSpeed shaft = rpm(1420);
  const Speed hoist = metres_per_second(1.5);
  const Inertia j = kilogram_square_metres(0.2) + inertia_at_motor(kilogram_square_metres(10), 10) +
                    inertia_of_mass(kilograms(1000), hoist, shaft);
  CHECK(j.si == doctest::Approx(0.40175).epsilon(1e-4));
  const Torque t = torque_at_motor(newton_metres(10), 10, 0.9) +
                   hoist_torque(kilograms(1000), hoist, shaft, 0.85, metres_per_second_squared(9.81));
  CHECK(t.si == doctest::Approx(117.53).epsilon(1e-4));
}

// F4: firgelliauto.com engineering note; linearmotiontips.com (formulas read). Figures: calc from them.
TEST_CASE("F4: trapezoid and triangle") {
  const Move long_way = fastest_move(metres(2), metres_per_second(0.8), metres_per_second_squared(1.6));
  const double ta = 0.8 / 1.6;
  const double da = 0.5 * 1.6 * ta * ta;
  CHECK(long_way.ramp.si == doctest::Approx(ta));
  CHECK(long_way.cruise.si == doctest::Approx((2 - 2 * da) / 0.8));
  CHECK(at(long_way, seconds(ta)).way.si == doctest::Approx(da));
  const Move short_way = fastest_move(metres(0.1), metres_per_second(0.8), metres_per_second_squared(1.6));
  CHECK(short_way.cruise.si == 0.0);
  CHECK(short_way.peak < metres_per_second(0.8));
  CHECK(short_way.peak.si == doctest::Approx(2.0 * 0.1 / short_way.total().si));  // twice the mean speed
  CHECK(triangle_in(metres(0.1), seconds(0.5)).peak.si == doctest::Approx(0.4));
}

// F5: MecMovies M6.18, Philpot (read): 24 teeth on 72, then a shaft that twists; printed 0.0695 rad.
TEST_CASE("F5: angles through a pair of gears") {
  const Angle c = meshed_angle(radians(-0.050724), 24, 72);
  CHECK(c.si == doctest::Approx(0.016908).epsilon(1e-4));
  CHECK((c + radians(0.052590)).si == doctest::Approx(0.069498).epsilon(1e-4));
}

// F6: Hongsbelt calculation examples (read), in kilograms of force: product 60 kg/m², belt 8.6 kg/m², µ 0.12, 30 m,
// 0.6 m wide; belt pull for a metre of width 278 kg (277.92); with its shaft of 11.48 kg/m, 173.7 kg.
TEST_CASE("F6: the pull of a level belt") {
  const MassPerArea product = {60.0};
  const MassPerArea belt = {8.6};
  const Force kilogram_force = kilograms(1) * standard_gravity;
  const Force one_metre = belt_pull(product, belt, metres(30), metres(1), 0.12, standard_gravity);
  CHECK(one_metre.in(kilogram_force) == doctest::Approx(277.92).epsilon(1e-5));
  const Force on_shaft = belt_pull(product, belt, metres(30), metres(0.6), 0.12, standard_gravity) +
                         0.6 * (kilograms(11.48) * standard_gravity);
  CHECK(std::abs(on_shaft.in(kilogram_force)-173.7) <= 0.1);  // from the rounded 278: 173.7; exact 173.64
}

// F7: askiitians.com forum 53887 (read), g = 10: 2 kg on 30°, µ 0.2.
TEST_CASE("F7: up an incline, and just held on it") {
  const InclineForces f = incline_forces(kilograms(2), degrees(30), 0.2, metres_per_second_squared(10));
  CHECK(f.up.si == doctest::Approx(13.464).epsilon(1e-4));
  CHECK(f.held.si == doctest::Approx(6.536).epsilon(1e-4));
}
