// The second kind of data-sheet row (terminal resistance and constants), and the points of greatest power and
// efficiency, against published figures. Marks as in motor_figures_test.cpp.
#include <doctest/doctest.h>

#include <cmath>

#include "physics/drive_train.h"
#include "physics/motor.h"

using namespace ringout;
using namespace ringout::physics;

namespace {

constexpr Torque mnm = newton_metres(1e-3);
constexpr SpeedConstant rpm_per_volt = rpm(1) / volts(1);

DriveTrain bare(const MotorConstants& m) {
  DriveTrain t;
  t.motor = m;
  return t;
}

}  // namespace

// Dr. Fritz Faulhaber series 1331 and 0816 (read): kM and kn stand side by side, printed to three or four figures. They
// agree within 0.5 %: half a unit of the last figure of either. Free speed as in the other kind of row, 0.6 %.
TEST_CASE("rows by terminal resistance: both constants give one motor") {
  struct Row {
    const char* name;
    double u, r, n0, i0, km, kn;
  };
  const Row rows[] = {{"A1 1331T006SR", 6, 2.83, 10600, 0.0220, 5.35, 1790},
                      {"A2 1331T012SR", 12, 13.7, 9900, 0.0105, 11.4, 835},
                      {"A4 0816K003SR", 3, 5.4, 13250, 0.016, 2.11, 4526},
                      {"A5 0816K006SR", 6, 21.2, 13500, 0.0083, 4.12, 2318},
                      {"A7 0816K012SR", 12, 101.8, 12600, 0.0039, 8.80, 1085}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const TerminalRow both = {.terminal = ohms(row.r),
                              .torque_constant = volt_seconds_per_radian(row.km * 1e-3),
                              .speed_constant = row.kn * rpm_per_volt,
                              .free_current = amperes(row.i0)};
    const auto m = motor_from_row(both);
    REQUIRE(m.has_value());
    CHECK(m->disagreement < 0.005);
    CHECK(std::abs(free_speed(m->constants, volts(row.u)).in(rpm(1)) / row.n0 - 1.0) <= 0.006);
    TerminalRow speed_only = both;
    speed_only.torque_constant.reset();
    const auto by_speed = motor_from_row(speed_only);
    REQUIRE(by_speed.has_value());
    CHECK(by_speed->disagreement == 0.0);
    CHECK(std::abs(by_speed->constants.k.in(volt_seconds_per_radian(1e-3)) / row.km - 1.0) <= 0.005);
  }
}

// maxon rows as typed by others (A8, A10, A11), read-2nd: plausibility only. 0.5 % as above.
TEST_CASE("plausible: transcribed rows have one constant in two units") {
  const double rows[][2] = {{23.4, 407}, {60.3, 158}, {6.95, 1370}};
  for (const auto& row : rows) {
    CAPTURE(row[0]);
    const auto m = motor_from_row(TerminalRow{.terminal = ohms(1),
                                              .torque_constant = volt_seconds_per_radian(row[0] * 1e-3),
                                              .speed_constant = row[1] * rpm_per_volt,
                                              .free_current = {}});
    REQUIRE(m.has_value());
    CHECK(m->disagreement < 0.005);
  }
}

// A15 (read and calc): kT 34.5 gf·cm/A and kE 0.00044 V/rpm on one real sheet.
TEST_CASE("A15: a sheet whose constants differ says by how much") {
  const auto m =
      motor_from_row(TerminalRow{.terminal = ohms(1.7),
                                 .torque_constant = 34.5e-3 * standard_gravity.si * 1e-2 * volt_seconds_per_radian(1),
                                 .speed_constant = rpm(1) / volts(0.00044),
                                 .free_current = {}});
  REQUIRE(m.has_value());
  CHECK(m->disagreement == doctest::Approx(1.0 - 3.383 / 4.20).epsilon(0.01));
  CHECK(m->constants.k.si == doctest::Approx(std::sqrt(3.383e-3 * 4.20e-3)).epsilon(0.001));
}

TEST_CASE("a terminal row outside its ranges is refused with a reason") {
  TerminalRow row = {.terminal = ohms(1),
                     .torque_constant = volt_seconds_per_radian(0.01),
                     .speed_constant = {},
                     .free_current = amperes(0.1)};
  REQUIRE(motor_from_row(row).has_value());
  row.torque_constant.reset();
  REQUIRE(!motor_from_row(row).has_value());
  CHECK(motor_from_row(row).error().id == "physics.motor-row");
  row.torque_constant = volt_seconds_per_radian(-0.01);
  CHECK(!motor_from_row(row).has_value());
}

// Faulhaber series 1331 (read): P2max 3.11 and 2.57 W. Three printed figures: 0.3 %.
TEST_CASE("A1, A2: the greatest power at the shaft") {
  struct Row {
    const char* name;
    double u, r, i0, k, watts;
  };
  for (const Row& row : {Row{"A1", 6, 2.83, 0.0220, 5.35, 3.11}, Row{"A2", 12, 13.7, 0.0105, 11.4, 2.57}}) {
    CAPTURE(row.name);
    const MotorConstants m = {ohms(row.r), volt_seconds_per_radian(row.k * 1e-3), amperes(row.i0)};
    const DrivePoint p = most_power(bare(m), {.source = volts(row.u), .duty = 1.0});
    CHECK(std::abs(p.delivered.in(watts(1)) / row.watts - 1.0) <= 0.003);
  }
}

// Printed best efficiencies: Faulhaber (read; 80 for 79.3 in A2, hence one point), maxon (read-2nd: plausible only).
TEST_CASE("best efficiency, found as the best point of the drive") {
  struct Row {
    const char* name;
    double u, r, i0, k, percent;
  };
  const Row rows[] = {{"A1", 6, 2.83, 0.0220, 5.35, 81},
                      {"A2", 12, 13.7, 0.0105, 11.4, 80},
                      {"A4", 3, 5.4, 0.016, 2.11, 69},
                      {"A5", 6, 21.2, 0.0083, 4.12, 69},
                      {"A7", 12, 101.8, 0.0039, 8.80, 67},
                      {"A8 plausible", 12, 2.18, 0.0263, 23.4, 87},
                      {"A10 plausible", 48, 1.13, 0.0686, 60.3, 92}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const MotorConstants m = {ohms(row.r), volt_seconds_per_radian(row.k * 1e-3), amperes(row.i0)};
    const DrivePoint p = most_efficient(bare(m), {.source = volts(row.u), .duty = 1.0});
    CHECK(std::abs(100.0 * p.efficiency - row.percent) <= 1.0);
  }
}

// A12 Portescap catalogue V012024 p. 224 (read): 6 mN·m at 2000 rpm from 10 V needs 5.046 V at the motor: the duty of a
// chopping driver without loss, and the supply gives duty times the motor's 0.76 A.
TEST_CASE("A12 through a chopping driver") {
  DriveTrain t = bare({ohms(4.3), volt_seconds_per_radian(8.48e-3), amperes(0.053)});
  t.load.weight = 6 * mnm;
  const auto duty = duty_for(t, volts(10), rpm(2000));
  REQUIRE(duty.has_value());
  CHECK(*duty == doctest::Approx(0.5046).epsilon(0.001));
  const DrivePoint p = operating_point(t, {.source = volts(10), .duty = *duty});
  CHECK(p.motor_current.in(amperes(1)) == doctest::Approx(0.76055).epsilon(0.0005));
  CHECK(p.supply_current.in(amperes(1)) == doctest::Approx(0.5046 * 0.76055).epsilon(0.001));
  CHECK(p.output_speed.in(rpm(1)) == doctest::Approx(2000).epsilon(1e-9));
}

// Arithmetic from the definitions: copper 234.5 rule (IACS, FAA; read), magnets typical of the material (memory).
TEST_CASE("a warm motor: more resistance, weaker magnets, the same friction") {
  const MotorConstants cold = {ohms(2.18), volt_seconds_per_radian(0.0234), amperes(0.0263)};
  const MotorConstants hot =
      at_temperature(cold, {}, {.winding = celsius(100), .magnets = celsius(75)}, ferrite_magnets);
  CHECK(hot.winding.si == doctest::Approx(2.18 * 334.5 / 259.5));
  CHECK(hot.k.si == doctest::Approx(0.0234 * 0.9));
  CHECK((hot.k * hot.free_current).si == doctest::Approx((cold.k * cold.free_current).si));
  CHECK(stall_torque(hot, volts(12), StallTorque::gross) < stall_torque(cold, volts(12), StallTorque::gross));
  const MotorConstants neodymium =
      at_temperature(cold, {}, {.winding = celsius(25), .magnets = celsius(75)}, neodymium_magnets);
  CHECK(neodymium.k.si == doctest::Approx(0.0234 * 0.95));
}
