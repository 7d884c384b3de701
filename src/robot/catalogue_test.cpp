#include "robot/catalogue.h"

#include <doctest/doctest.h>

#include <set>

#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

TEST_CASE("every row that comes with Ringout says that it is invented") {
  const Catalogue catalogue = testing::shipped_catalogue(RINGOUT_SOURCE_DIR);
  CHECK(catalogue.devices.size() > 20);
  for (const Device& d : catalogue.devices) {
    CAPTURE(d.name);
    CHECK(d.source == "invented");
  }
  for (const Board& b : catalogue.boards) CHECK(b.source == "invented");
}

// R = U/Is, k = (U - R·I0)/ω0, M = k·Is: a data sheet's figures are not independent of each other.
TEST_CASE("the figures of each motor hang together") {
  const Catalogue catalogue = testing::shipped_catalogue(RINGOUT_SOURCE_DIR);
  int motors = 0;
  for (const Device& d : catalogue.devices) {
    const auto* m = d.as<MotorDevice>();
    if (m == nullptr) continue;
    ++motors;
    CAPTURE(d.name);
    const Resistance winding = m->nominal / m->stall_current;
    const MotorConstant k = (m->nominal - winding * m->free_current) / m->free_speed;
    CHECK((k * m->stall_current).in(m->stall_torque) == doctest::Approx(1.0).epsilon(0.002));
  }
  CHECK(motors == 4);
}

TEST_CASE("the first board has the ports and pins that the firmware is planned for") {
  const Catalogue catalogue = testing::shipped_catalogue(RINGOUT_SOURCE_DIR);
  const Board* board = catalogue.board("nursery_mega");
  REQUIRE(board != nullptr);
  CHECK(board->of_kind(PortKind::bridge).size() == 8);
  CHECK(board->of_kind(PortKind::encoder_input).size() == 6);
  CHECK(board->of_kind(PortKind::switch_input).size() == 8);
  CHECK(board->of_kind(PortKind::analogue_input).size() == 5);
  CHECK(board->find("OUT8")->index == 7);
  CHECK(board->find("OUT8")->pins == std::vector<std::string>{"PL5", "PC7", "PK7"});
  CHECK(board->find("ENC6")->pins == std::vector<std::string>{"PE7", "PD2"});
  CHECK(board->find("AN3")->adc_channel == 5);
  std::set<std::string> pins;
  for (const BoardPort& port : board->ports) {
    for (const std::string& pin : port.pins) CHECK(pins.insert(pin).second);
  }
  CHECK(pins.count("PE0") + pins.count("PE1") == 0);  // the serial line
}

TEST_CASE("the demonstration's screw holds its load by friction alone") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const Mechanism& lift = *robot.output("lift")->mechanism;
  CHECK(lift.self_locking);
  const Torque weight = lift.lifted * standard_gravity * *lift.radius;
  CHECK(weight.in(newton_metres(1)) == doctest::Approx(0.0999).epsilon(0.001));
  CHECK(lift.friction > weight);
}
