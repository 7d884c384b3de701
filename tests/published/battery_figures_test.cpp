// Batteries against published examples. Marks as in motor_figures_test.cpp.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "physics/battery.h"

using namespace ringout;
using namespace ringout::physics;

// D4: OpenStax College Physics 21.2 and University Physics 2, 10.1 (read); D4' (results memory, arithmetic exact).
TEST_CASE("D4: one battery, three loads") {
  const Voltage emf = volts(12.0);
  const Current light = current_into(emf, ohms(0.100), ohms(10.0));
  CHECK(std::abs(light.in(amperes(1)) - 1.188) <= 0.0005);
  CHECK(std::abs(terminal_voltage(emf, ohms(0.100), light).in(volts(1)) - 11.9) <= 0.05);
  const Current heavy = current_into(emf, ohms(0.100), ohms(0.500));
  CHECK(heavy.in(amperes(1)) == doctest::Approx(20.0));
  CHECK(terminal_voltage(emf, ohms(0.100), heavy).in(volts(1)) == doctest::Approx(10.0));
  CHECK((terminal_voltage(emf, ohms(0.100), heavy) * heavy).in(watts(1)) == doctest::Approx(200.0));
  const Current worn = current_into(emf, ohms(0.500), ohms(0.500));
  CHECK(worn.in(amperes(1)) == doctest::Approx(12.0));
  CHECK((terminal_voltage(emf, ohms(0.500), worn) * worn).in(watts(1)) == doctest::Approx(72.0));
}

// D6: jiskha.com/display.cgi?id=1347453135 (read): 12.0 V open, 10.9 V across 10 Ω; prints 1.0 Ω, calc 1.009 Ω.
TEST_CASE("D6: internal resistance from an open and a loaded reading") {
  const Resistance r = internal_resistance(volts(12.0), volts(10.9), ohms(10));
  CHECK(r.in(ohms(1)) == doctest::Approx(1.009).epsilon(0.0005));
  CHECK(current_into(volts(12.0), r, ohms(10)).in(amperes(1)) == doctest::Approx(1.09).epsilon(1e-9));
}

// D8: motorhome.com Q&A (read). Other tables differ by up to 0.15 V at the same charge; only interpolation is checked.
TEST_CASE("open circuit against charge is read off a table") {
  constexpr std::array<ChargePoint, 4> table = {
      {{0.25, volts(12.15)}, {0.50, volts(12.30)}, {0.75, volts(12.45)}, {1.0, volts(12.66)}}};
  for (const ChargePoint& p : table)
    CHECK(open_circuit(table, p.state_of_charge).si == doctest::Approx(p.open_circuit.si));
  CHECK(open_circuit(table, 0.625).in(volts(1)) == doctest::Approx(12.375));
  CHECK(open_circuit(table, 0.0).in(volts(1)) == doctest::Approx(12.15));
  CHECK(open_circuit(table, 1.2).in(volts(1)) == doctest::Approx(12.66));
}
