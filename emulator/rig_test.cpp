// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/rig.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>

#include "base/check.h"
#include "emulator/selfcheck_board.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::emulator;

namespace {

using Bytes = std::vector<std::uint8_t>;

const robot::Robot& tray_carrier() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}

std::unique_ptr<Rig> rig_with_selfcheck(const plant::Deviations& deviations = {}) {
  auto wiring = wiring_of(tray_carrier().board);
  REQUIRE(wiring.has_value());
  auto chip = Chip::load(RINGOUT_SELFCHECK_ELF);
  REQUIRE(chip.has_value());
  auto rig = std::make_unique<Rig>(tray_carrier(), deviations, std::move(*wiring), std::move(*chip));
  while (rig->now() < Instant{} + Duration::milliseconds(2)) (void)rig->wait_until({Duration::milliseconds(2).ns});
  return rig;
}

void pass(Rig& rig, Duration length) {
  const Instant end = rig.now() + length;
  while (rig.now() < end) (void)rig.wait_until(end);
}

Bytes ask(Rig& rig, const Bytes& command, std::size_t size) {
  REQUIRE(rig.write(command).has_value());
  Bytes answer;
  const Instant give_up = rig.now() + Duration::milliseconds(50);
  while (answer.size() < size && rig.now() < give_up) {
    const auto event = rig.wait_until(give_up);
    if (const auto* arrived = std::get_if<link::Arrived>(&event)) {
      answer.insert(answer.end(), arrived->bytes.begin(), arrived->bytes.end());
    }
  }
  return answer;
}

int count_of(Rig& rig, const std::string& encoder) {
  const auto bytes = ask(rig, {'C'}, 24);
  const auto port = tray_carrier().port_of(tray_carrier().input(encoder)->port).index;
  return static_cast<std::int32_t>(SelfcheckBoard::number(bytes, 4u * port, 4));
}

const plant::MotorTruth& motor(const plant::Truth& truth, const std::string& name) {
  for (const auto& one : truth.motors) {
    if (one.point == name) return one;
  }
  FAIL("no motor " << name);
  return truth.motors.front();
}

std::uint8_t bridge_of(const std::string& output) {
  return tray_carrier().port_of(tray_carrier().output(output)->port).index;
}

Bytes drive(std::uint8_t bridge, unsigned level, std::uint8_t forward, std::uint8_t reverse) {
  return {'P', 'E',     'L', bridge, static_cast<std::uint8_t>(level), static_cast<std::uint8_t>(level >> 8),
          'F', forward, 'R', reverse};
}

}  // namespace

TEST_CASE("a bridge that drives turns its motor, and the encoder's edges reach the chip") {
  for (const bool forward : {true, false}) {
    CAPTURE(forward);
    auto rig = rig_with_selfcheck();
    const std::uint8_t bridge = bridge_of("drive_left");
    const auto bit = static_cast<std::uint8_t>(1u << bridge);
    REQUIRE(rig->write(drive(bridge, 400, forward ? bit : 0, forward ? 0 : bit)).has_value());
    pass(*rig, Duration::milliseconds(300));
    const double speed = motor(rig->truth(), "drive_left").speed;
    const int count = count_of(*rig, "left_encoder");
    CHECK(std::abs(count) > 20);
    // A drawn reversal of output or encoder may turn the sign; both directions must differ.
    static double first_speed = 0;
    static int first_count = 0;
    if (forward) {
      first_speed = speed;
      first_count = count;
    } else {
      CHECK(first_speed * speed < 0);
      CHECK(std::abs(first_count + count) <= std::abs(count) / 10);
    }
  }
}

TEST_CASE("no direction coasts and both directions brake: the braked motor stops first") {
  double coasting = 0, braking = 0;
  for (const bool brake : {false, true}) {
    auto rig = rig_with_selfcheck();
    const std::uint8_t bridge = bridge_of("drive_left");
    const auto bit = static_cast<std::uint8_t>(1u << bridge);
    REQUIRE(rig->write(drive(bridge, 400, bit, 0)).has_value());
    pass(*rig, Duration::milliseconds(300));
    REQUIRE(rig->write(Bytes{'F', brake ? bit : std::uint8_t{0}, 'R', brake ? bit : std::uint8_t{0}}).has_value());
    pass(*rig, Duration::milliseconds(40));
    (brake ? braking : coasting) = std::abs(motor(rig->truth(), "drive_left").speed);
  }
  CHECK(coasting > braking);
}

TEST_CASE("a hand at a switch reaches its pin, and letting go too") {
  auto rig = rig_with_selfcheck();
  const auto bit =
      static_cast<std::uint8_t>(1u << tray_carrier().port_of(tray_carrier().input("lift_top")->port).index);
  const auto before = ask(*rig, {'S'}, 1);
  REQUIRE(rig->work_by_hand("lift_top", true).has_value());
  pass(*rig, Duration::milliseconds(20));
  CHECK((ask(*rig, {'S'}, 1)[0] ^ before[0]) == bit);
  REQUIRE(rig->work_by_hand("lift_top", false).has_value());
  pass(*rig, Duration::milliseconds(20));
  CHECK(ask(*rig, {'S'}, 1) == before);
  CHECK(rig->work_by_hand("no_such", true).error().id == "emulator.unknown-input");
}

TEST_CASE("the supply is seen through its divider and falls when the disconnect opens") {
  auto rig = rig_with_selfcheck();
  const auto volts = [&] {
    const auto raw = SelfcheckBoard::number(ask(*rig, {'A', tray_carrier().board.supply_adc}, 2), 0, 2);
    return raw * 5.0 / 1024 * tray_carrier().board.supply_divider_ratio;
  };
  CHECK(volts() == doctest::Approx(rig->truth().battery_volts).epsilon(0.02));
  REQUIRE(rig->open_disconnect(true).has_value());
  pass(*rig, Duration::seconds(2));
  CHECK(volts() < 2);
  REQUIRE(rig->open_disconnect(false).has_value());
  pass(*rig, Duration::milliseconds(100));
  CHECK(volts() > 11);
}

TEST_CASE("a power cut at the chip stops the motor and comes back as a power-up") {
  auto rig = rig_with_selfcheck();
  const std::uint8_t bridge = bridge_of("drive_left");
  REQUIRE(rig->write(drive(bridge, 400, static_cast<std::uint8_t>(1u << bridge), 0)).has_value());
  pass(*rig, Duration::milliseconds(300));
  const double fast = std::abs(motor(rig->truth(), "drive_left").speed);
  rig->cut_power(Duration::milliseconds(500));
  CHECK(ask(*rig, {'c'}, 2).empty());
  pass(*rig, Duration::milliseconds(600));
  CHECK(std::abs(motor(rig->truth(), "drive_left").speed) < fast / 10);
  CHECK(ask(*rig, {'c'}, 2) == Bytes{static_cast<std::uint8_t>(ResetCause::power_on), 0});
}

TEST_CASE("where the waits end changes nothing in the robot") {
  const auto life = [](Duration slice) {
    auto rig = rig_with_selfcheck();
    const std::uint8_t bridge = bridge_of("lift");
    REQUIRE(rig->write(drive(bridge, 300, static_cast<std::uint8_t>(1u << bridge), 0)).has_value());
    const Instant end = rig->now() + Duration::milliseconds(210);
    while (rig->now() < end) (void)rig->wait_until(std::min(end, rig->now() + slice));
    const plant::Truth truth = rig->truth();
    return std::pair(motor(truth, "lift").position, truth.energy_in);
  };
  const auto whole = life(Duration::milliseconds(210));
  for (const std::int64_t us : {70, 1000, 1700}) {
    CAPTURE(us);
    const auto sliced = life(Duration::microseconds(us));
    CHECK(sliced.first == whole.first);
    CHECK(sliced.second == whole.second);
  }
}

TEST_CASE("the pins of each drive mode are read as what they ask for") {
  Bytes data(0x200);
  const Pin a{'A', 0}, b{'A', 1}, c{'A', 2};
  data[0x21] = 7;  // DDRA
  const auto ask_with = [&](robot::DriveMode mode, std::vector<Pin> pins, std::uint8_t levels) {
    data[0x22] = levels;
    return command_of({mode, std::move(pins), false}, data);
  };
  using robot::DriveMode;
  CHECK(ask_with(DriveMode::pwm_and_two_directions, {a, b, c}, 0b011).duty == 1.0);
  CHECK(ask_with(DriveMode::pwm_and_two_directions, {a, b, c}, 0b101).duty == -1.0);
  CHECK(ask_with(DriveMode::pwm_and_two_directions, {a, b, c}, 0b001).duty == 0.0);
  CHECK(ask_with(DriveMode::pwm_and_two_directions, {a, b, c}, 0b001).when_off == robot::Off::coast);
  CHECK(ask_with(DriveMode::pwm_and_two_directions, {a, b, c}, 0b111).duty == 0.0);
  CHECK(ask_with(DriveMode::pwm_and_two_directions, {a, b, c}, 0b110).when_off == robot::Off::brake);
  CHECK(ask_with(DriveMode::pwm_and_direction, {a, b}, 0b11).duty == 1.0);
  CHECK(ask_with(DriveMode::pwm_and_direction, {a, b}, 0b01).duty == -1.0);
  CHECK(ask_with(DriveMode::two_pwm, {a, b}, 0b01).duty == 1.0);
  CHECK(ask_with(DriveMode::two_pwm, {a, b}, 0b10).duty == -1.0);
  CHECK(ask_with(DriveMode::two_pwm, {a, b}, 0b11).when_off == robot::Off::brake);
  data[0x22] = 0b011;
  CHECK(command_of({DriveMode::pwm_and_two_directions, {a, b, c}, true}, data).duty == -1.0);
}

TEST_CASE("a board that the chip's emulation cannot serve is refused by its reason") {
  robot::Board board = tray_carrier().board;
  CHECK(wiring_of(board).value().bridges.size() == 8);
  board.chip = "other";
  CHECK(wiring_of(board).error().id == "emulator.board-not-emulated");
  board = tray_carrier().board;
  board.clock = hertz(8'000'000);
  CHECK_FALSE(wiring_of(board).has_value());
  board = tray_carrier().board;
  for (auto& port : board.ports) {
    if (port.kind == robot::PortKind::analogue_input) port.pins = {"PK0"};
  }
  CHECK(wiring_of(board).error().message.find("PF0 to PF7") != std::string::npos);
  board = tray_carrier().board;
  board.ports.front().pins.front() = "PX1";
  CHECK(wiring_of(board).error().message.find("PX1") != std::string::npos);
}
