#include "robot/catalogue.h"

#include <doctest/doctest.h>

#include <set>

#include "robot/robot_file.h"
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

namespace {

// What a catalogue of one device is refused with, "id: message" each.
std::vector<std::string> told(const std::string& device) {
  Diagnostics found;
  (void)read_catalogue({SourceText("mine.toml", device)}, found);
  std::vector<std::string> all;
  for (const Diagnostic& d : found.all()) all.push_back(d.id + ": " + d.message);
  return all;
}

}  // namespace

TEST_CASE("limits of a protection that contradict each other are refused, gaps are not") {
  const std::string head =
      "[[fuse]]\nname = \"f\"\nsource = \"invented\"\nrating = \"5 A\"\ncold = \"9 mohm\"\nmelting = \"70 A2*s\"\n";
  const auto with = [&](const std::string& first, const std::string& second) {
    return told(head + "limits = [ { multiple = 1.35, " + first + " }, { multiple = 2, " + second + " } ]\n");
  };
  CHECK(with("latest = \"1 h\"", "earliest = \"1 s\", latest = \"60 s\"").empty());
  CHECK(with("earliest = \"1 s\"", "latest = \"60 s\"").empty());
  const std::string of_second = "catalogue.limit-figures: in row 2 of \"limits\" of fuse \"f\", ";
  using All = std::vector<std::string>;
  CHECK(with("earliest = \"1 s\"", "earliest = \"30 s\"") ==
        All{of_second + "the earliest time is above that of a smaller multiple"});
  CHECK(with("latest = \"20 s\"", "earliest = \"30 s\"") ==
        All{of_second + "the earliest time is above the latest of a smaller multiple"});
  CHECK(with("latest = \"20 s\"", "latest = \"30 s\"") ==
        All{of_second + "the latest time is above that of a smaller multiple"});
}

TEST_CASE("a battery's charged voltage is one figure, wherever it stands") {
  const auto with = [](const std::string& full) {
    return told(
        "[[battery]]\nname = \"b\"\nsource = \"invented\"\nchemistry = \"lead-acid\"\nnominal = \"12 V\"\ncapacity = "
        "\"7 A*h\"\nopen_circuit_full = \"" +
        full +
        "\"\nopen_circuit_empty = \"11.6 V\"\ninternal = \"25 mohm\"\nopen_circuit = [ { state_of_charge = 0, voltage "
        "= \"11.6 V\" }, { state_of_charge = 1, voltage = \"12.9 V\" } ]\n");
  };
  CHECK(with("12.9 V").empty());
  CHECK(with("12.0 V") ==
        std::vector<std::string>{"catalogue.battery-figures: battery \"b\" has 12.9 V at 100 % in its "
                                 "table, and open_circuit_full says 12 V"});
}

TEST_CASE("the demonstration's screw holds its load by friction alone") {
  const Robot robot = testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const Mechanism& lift = *robot.output("lift")->mechanism;
  CHECK(lift.self_locking);
  const Torque weight = lift.lifted * standard_gravity * *lift.radius;
  CHECK(weight.in(newton_metres(1)) == doctest::Approx(0.0999).epsilon(0.001));
  CHECK(lift.friction > weight);
}

TEST_CASE("a board has no more ports of a kind than a controller has room for") {
  const SourceText shipped = testing::load_text(RINGOUT_SOURCE_DIR, "data/boards/nursery_mega.toml");
  const auto with_encoders = [&shipped](int more) {
    std::string text(shipped.text());
    for (int i = 0; i < more; ++i) {
      const std::string n = std::to_string(i);
      text += "\n[[port]]\nname = \"MORE" + n + "\"\nkind = \"encoder\"\npins = [\"A" + n + "\", \"B" + n +
              "\"]\nmax_edge_rate = \"10 kHz\"\n";
    }
    return told(text);
  };
  CHECK(with_encoders(2).empty());
  CHECK(with_encoders(4) ==
        std::vector<std::string>{
            "catalogue.too-many-of-a-kind: the board has more than 8 ports of the kind \"encoder\""});
}
