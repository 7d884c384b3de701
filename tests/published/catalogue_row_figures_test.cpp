// Catalogue rows by stall torque, gross and net, read as a team would write them, against published figures. Marks as
// in motor_figures_test.cpp.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>

#include "desk/device_models.h"
#include "robot/robot_file.h"

using namespace ringout;

namespace {

robot::Catalogue read(const std::string& figures, Diagnostics& found) {
  const SourceText text("row.toml", fmt::format("[[motor]]\nname = \"m\"\ndescription = \"one row\"\nsource = "
                                                "\"printed\"\nrotor_inertia = \"1e-7 kg*m2\"\ninductance = \"0.1 "
                                                "mH\"\n{}\n",
                                                figures));
  return robot::read_catalogue({text}, found);
}

}  // namespace

// Dr. Fritz Faulhaber series 1331 and 0816 (read): the printed stall torque is what is left at the shaft, k·(U/R − I0).
// Torque constant as printed beside it; 1.5 %: rows printed to two or three figures.
TEST_CASE("A1 to A7: a net stall torque gives the printed torque constant, the same figure taken as gross too little") {
  struct Row {
    const char* name;
    double u, r, n0, i0, km, net_mnm;
  };
  for (const Row& row : {Row{"A1 1331T006SR", 6, 2.83, 10600, 0.0220, 5.35, 11.20},
                         Row{"A2 1331T012SR", 12, 13.7, 9900, 0.0105, 11.4, 9.90},
                         Row{"A4 0816K003SR", 3, 5.4, 13250, 0.016, 2.11, 1.15},
                         Row{"A5 0816K006SR", 6, 21.2, 13500, 0.0083, 4.12, 1.13},
                         Row{"A7 0816K012SR", 12, 101.8, 12600, 0.0039, 8.80, 1.00}}) {
    CAPTURE(row.name);
    const auto torque_constant = [&](const char* key) {
      Diagnostics found;
      const robot::Catalogue catalogue =
          read(fmt::format("nominal = \"{} V\"\nfree_speed = \"{} rpm\"\nfree_current = \"{} A\"\n{} = \"{} "
                           "mN*m\"\nstall_current = \"{} A\"",
                           row.u, row.n0, row.i0, key, row.net_mnm, row.u / row.r),
               found);
      REQUIRE(!found.has_errors());
      const auto motor = desk::motor_row(*catalogue.devices.at(0).as<robot::MotorDevice>());
      REQUIRE(motor.has_value());
      return motor->from_torque.si * 1e3;
    };
    CHECK(std::abs(torque_constant("net_stall_torque") / row.km - 1.0) <= 0.015);
    CHECK(torque_constant("stall_torque") / torque_constant("net_stall_torque") ==
          doctest::Approx(1.0 - row.i0 * row.r / row.u));
  }
}

TEST_CASE("a row with both stall torques is refused with what to keep") {
  Diagnostics found;
  (void)read(
      "nominal = \"6 V\"\nfree_speed = \"10600 rpm\"\nfree_current = \"22 mA\"\nstall_torque = \"11.3 "
      "mN*m\"\nnet_stall_torque = \"11.2 mN*m\"\nstall_current = \"2.12 A\"",
      found);
  REQUIRE(found.all().size() == 1);
  CHECK(found.all()[0].id == "catalogue.motor-figures");
  CHECK(found.all()[0].hint.find("net_stall_torque") != std::string::npos);
}
