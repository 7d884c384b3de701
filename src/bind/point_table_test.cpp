#include "bind/point_table.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "bind/scaling.h"
#include "bind/test_robot.h"
#include "tests/golden.h"

namespace ringout::bind {
namespace {

constexpr UnprovedBounds bounds{250, 180, 5};

PointTable table_of(const robot::Robot& robot) {
  auto table = point_table(robot, bounds);
  REQUIRE(table);
  return *table;
}

std::size_t index_of(const robot::Robot& robot, const std::string& name) {
  for (std::size_t i = 0; i < robot.outputs.size(); ++i) {
    if (robot.outputs[i].name == name) return i;
  }
  for (std::size_t i = 0; i < robot.inputs.size(); ++i) {
    if (robot.inputs[i].name == name) return robot.outputs.size() + i;
  }
  return 255;
}

}  // namespace

TEST_CASE("the table carries what the robot file draws") {
  const robot::Robot robot = tray_carrier_for_tests();
  const PointTable table = table_of(robot);
  CHECK(table.entries.size() == 16);
  CHECK(table.header.unproved_level_permille == 250);
  CHECK(table.header.supply_low_mv == 8500);
  // 5 V / 1024 at the pin, times a divider of 4: 19.53 mV a code.
  CHECK(table.header.supply_mv_per_raw == doctest::Approx(19.53125));
  // 30 A at 0.1 V/A are 3 V: 3 / 5 * 1024 = 614.4.
  CHECK(table.header.banks[0].adc_channel == 3);
  CHECK(table.header.banks[0].limit_raw == 614);
  CHECK(table.header.banks[2].adc_channel == wire::no_port);

  const auto& right = table.entries[1];
  CHECK((right.flags & wire::entry_reversed) != 0);
  const auto& lift = table.entries[2];
  CHECK(lift.port == 2);
  CHECK((lift.flags & wire::entry_brake) != 0);
  CHECK(lift.low_switch == index_of(robot, "lift_bottom"));
  CHECK(lift.high_switch == index_of(robot, "lift_top"));
  CHECK(lift.travel_sensor == wire::no_point);  // an encoder does not know the place after power-up
  const auto& clamp = table.entries[3];
  CHECK(clamp.max_level_permille == 600);
  CHECK(clamp.travel_sensor == index_of(robot, "clamp_position"));
  // 20° to 110°, 2 % of 90° inside: 21.8° and 108.2° of 270° over 1024 codes: 82.7 and 410.4.
  CHECK(clamp.travel_low == 83);
  CHECK(clamp.travel_high == 410);
}

TEST_CASE("a bank's limit that its sense can never read above is refused") {
  robot::Robot robot = tray_carrier_for_tests();
  robot.board.banks[0].limit = amperes(49.9);
  REQUIRE(point_table(robot, {}));
  for (const double limit : {49.97, 60.0}) {
    CAPTURE(limit);
    robot.board.banks[0].limit = amperes(limit);
    const auto table = point_table(robot, {});
    REQUIRE(!table);
    CHECK(table.error().id == "bind.bank-limit-beyond-sense");
    CHECK(table.error().message.find("bank A's sense reads up to 50 A") != std::string::npos);
  }
}

TEST_CASE("switches say whether they act low") {
  const robot::Robot robot = tray_carrier_for_tests();
  const PointTable table = table_of(robot);
  const auto acts_low = [&](const char* name) {
    return (table.entries[index_of(robot, name)].flags & wire::entry_acts_low) != 0;
  };
  CHECK(acts_low("lift_bottom"));         // open at rest, to ground
  CHECK_FALSE(acts_low("lift_top"));      // closed at rest
  CHECK_FALSE(acts_low("tray_present"));  // open at rest, on the inverted port
}

TEST_CASE("scales turn raw numbers into the mechanism's unit") {
  robot::Robot robot = tray_carrier_for_tests();
  // Left wheel: 256 lines are 1024 counts a turn; radius 0.08 m: 2 pi 0.08 m a turn.
  CHECK(scale_of(robot, robot.inputs[0]).value(1024) == doctest::Approx(2 * pi * 0.08));
  CHECK(scale_of(robot, robot.inputs[1]).value(1024) == doctest::Approx(-2 * pi * 0.08));
  // Lift encoder sits on the motor's shaft: 50 turns of it are one of the drum.
  CHECK(scale_of(robot, robot.inputs[2]).value(50 * 1024) == doctest::Approx(2 * pi * 0.02));
  // Range: 0.5 V is 0.1 m, 4.5 V is 0.8 m; code 1024 V / 5.
  const InputScale range = scale_of(robot, robot.inputs[8]);
  CHECK(range.value(0.5 / 5 * 1024) == doctest::Approx(0.1));
  CHECK(range.value(4.5 / 5 * 1024) == doctest::Approx(0.8));
  CHECK(range.raw(range.value(321)) == doctest::Approx(321));
  // A falling potentiometer: 5 V at its low value.
  robot.inputs[7].reversed = true;
  const InputScale falling = scale_of(robot, robot.inputs[7]);
  CHECK(falling.value(1024) == doctest::Approx(0.0).epsilon(1e-9));
  CHECK(falling.value(0) == doctest::Approx(270.0 * pi / 180.0));
  const PointTable table = table_of(robot);
  CHECK(table.entries[3].travel_low > table.entries[3].travel_high);
}

TEST_CASE("a reversed encoder is negated by the agent, once") {
  const robot::Robot robot = tray_carrier_for_tests();
  const auto entry = table_of(robot).entries[index_of(robot, "right_encoder")];
  CHECK((entry.flags & wire::entry_reversed) != 0);
  CHECK(entry.scale > 0.0F);
}

TEST_CASE("bytes: what is encoded is decoded, and no damaged byte passes") {
  const PointTable table = table_of(tray_carrier_for_tests());
  const auto bytes = encode(table);
  CHECK(bytes.size() == wire::table_bytes(16));
  const auto decoded = decode_table(bytes);
  REQUIRE(decoded);
  CHECK(*decoded == table);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    auto damaged = bytes;
    damaged[i] ^= 0x40;
    CHECK_FALSE(decode_table(damaged));
    CHECK_FALSE(decode_table(std::span(bytes).first(i)));
  }
}

TEST_CASE("the table's fingerprint is its CRC-32, last four bytes, low byte first") {
  const PointTable table = table_of(tray_carrier_for_tests());
  const auto bytes = encode(table);
  const std::uint32_t fp = table_fingerprint(table);
  for (std::size_t i = 0; i < 4; ++i) CHECK(bytes[bytes.size() - 4 + i] == ((fp >> (8 * i)) & 0xFF));
}

TEST_CASE("fingerprints change with what is enforced, and with nothing else") {
  const robot::Robot before = tray_carrier_for_tests();
  const PointTable table = table_of(before);
  SUBCASE("a wire's length, a description, an owner") {
    robot::Robot after = before;
    after.outputs[2].wire.length = metres(3);
    after.description = "another";
    after.outputs[2].owner = "somebody";
    CHECK(table_fingerprint(table_of(after)) == table_fingerprint(table));
  }
  SUBCASE("a moved wire touches its own point's entry only") {
    robot::Robot after = before;
    after.outputs[3].port = "OUT8";
    const PointTable moved = table_of(after);
    CHECK(table_fingerprint(moved) != table_fingerprint(table));
    for (std::size_t i = 0; i < table.entries.size(); ++i) {
      CHECK((entry_fingerprint(moved.entries[i]) == entry_fingerprint(table.entries[i])) == (i != 3));
    }
  }
  SUBCASE("the proved mark opens an output's own bounds, but touches no proof") {
    const std::string proved[] = {"lift"};
    const auto marked = point_table(before, bounds, proved);
    REQUIRE(marked);
    CHECK((marked->entries[2].flags & wire::entry_proved) != 0);
    CHECK((marked->entries[1].flags & wire::entry_proved) == 0);
    CHECK(table_fingerprint(*marked) != table_fingerprint(table));
    CHECK(entry_fingerprint(marked->entries[2]) == entry_fingerprint(table.entries[2]));
  }
  SUBCASE("a pin of the board") {
    robot::Robot after = before;
    after.board.ports[0].pins = {"PC7"};
    CHECK(table_of(after).header.board_fp != table.header.board_fp);
  }
}

TEST_CASE("a proved output may do whatever it might do unproved") {
  const auto steep = point_table(tray_carrier_for_tests(), {250, 180, 45});
  REQUIRE(steep);
  CHECK(steep->entries[0].slope_permille_per_ms == 45);
  CHECK(table_of(tray_carrier_for_tests()).entries[0].slope_permille_per_ms == motor_slope_permille_per_ms);
}

TEST_CASE("an analogue port without its ADC channel is refused") {
  robot::Robot robot = tray_carrier_for_tests();
  for (auto& port : robot.board.ports) port.adc_channel.reset();
  const auto table = point_table(robot, bounds);
  REQUIRE(!table);
  CHECK(table.error().id == "bind.no-adc-channel");
}

TEST_CASE("the table as text is as in the golden file") {
  const robot::Robot robot = tray_carrier_for_tests();
  const std::string text = table_text(robot, table_of(robot));
  ringout::testing::check_golden("bind/point_table.txt", text);
}

}  // namespace ringout::bind
