// SPDX-License-Identifier: GPL-3.0-or-later
// How fast the emulated controller runs: eight motors turning, six encoders at 5,000 edges a second each.
// Usage: ringout_emulated_bench SELFCHECK.elf FIRMWARE.elf; ends with 1 where it is slower than five times real time.
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <string>

#include "emulator/encoder_edges.h"
#include "emulator/rig.h"
#include "robot/testing.h"

namespace {

using namespace ringout;
using namespace ringout::emulator;

constexpr double wanted_factor = 5.0;
constexpr double wanted_edges_per_second = 5000;
constexpr std::int64_t measured_ms = 4000;

// Of this process, so that other work on the machine does not count.
double processor_seconds() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

// The tray carrier's left drive eight times over, six of them with its encoder.
robot::Robot eight_motors(double lines_factor) {
  robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const robot::Output motor = *robot.output("drive_left");
  const robot::Input encoder = *robot.input("left_encoder");
  robot.outputs.clear();
  robot.inputs.clear();
  for (int i = 0; i < 8; ++i) {
    robot.outputs.push_back(motor);
    robot.outputs.back().name = "motor_" + std::to_string(i);
    robot.outputs.back().port = "OUT" + std::to_string(i + 1);
  }
  for (int i = 0; i < 6; ++i) {
    robot.inputs.push_back(encoder);
    robot.inputs.back().name = "encoder_" + std::to_string(i);
    robot.inputs.back().port = "ENC" + std::to_string(i + 1);
    robot.inputs.back().senses_output = "motor_" + std::to_string(i);
  }
  for (robot::Device& device : robot.catalogue.devices) {
    auto* spec = std::get_if<robot::EncoderDevice>(&device.spec);
    if (device.name == encoder.device && spec != nullptr) {
      spec->lines_per_revolution = std::max(1, static_cast<int>(spec->lines_per_revolution * lines_factor));
    }
  }
  return robot;
}

constexpr double drive_level = 0.6;

double edges_per_second(const robot::Robot& robot) {
  plant::Plant plant(robot, {}, 1);
  std::size_t edges = 0;
  for (int ms = 0; ms < 2000; ++ms) {
    for (std::uint8_t i = 0; i < 8; ++i) plant.command(i, {drive_level, robot::Off::coast});
    plant.step(Duration::milliseconds(1));
    if (ms >= 1000) edges += plant.edges().size();
  }
  return static_cast<double>(edges) / 6;
}

// Everything coupled: the chip's pins turn the motors, the motors' encoders interrupt the chip.
double coupled_factor(const std::string& elf) {
  const double plain = edges_per_second(eight_motors(1));
  const robot::Robot robot = eight_motors(wanted_edges_per_second / plain);
  auto chip = Chip::load(elf);
  if (!chip) return 0;
  Rig rig(robot, {}, wiring_of(robot.board).value(), std::move(*chip));
  const auto pass = [&](std::int64_t ms) {
    const Instant end = rig.now() + Duration::milliseconds(ms);
    while (rig.now() < end) (void)rig.wait_until(end);
  };
  pass(2);
  std::vector<std::uint8_t> start{'P', 'E', 'T'};
  constexpr auto level = static_cast<unsigned>(drive_level * 800);
  for (std::uint8_t i = 0; i < 8; ++i) {
    start.insert(start.end(), {'L', i, level & 0xFF, static_cast<std::uint8_t>(level >> 8)});
  }
  start.insert(start.end(), {'F', 0xFF});
  (void)rig.write(start);
  pass(1000);
  const double before = processor_seconds();
  pass(measured_ms);
  const double factor = static_cast<double>(measured_ms) / 1000 / (processor_seconds() - before);
  std::printf("coupled robot, %4.0f edges/s an encoder:   %5.1f times real time\n", edges_per_second(robot), factor);
  return factor;
}

// The shipping firmware at rest, its encoders turned by hand: the agent's tick and interrupts, without motion.
double firmware_factor(const std::string& elf) {
  auto chip = Chip::load(elf);
  if (!chip) return 0;
  plant::Plant plant(eight_motors(1), {}, 1);
  TurningEncoders turning(16'000'000, static_cast<Cycles>(clock_hz / wanted_edges_per_second));
  const auto pass = [&](std::int64_t steps) {
    for (std::int64_t ms = 0; ms < steps; ++ms) {
      for (std::uint8_t i = 0; i < 8; ++i) plant.command(i, {drive_level, robot::Off::coast});
      plant.step(Duration::milliseconds(1));
      for (std::uint8_t channel = 0; channel < 8; ++channel) {
        (*chip)->set_adc(channel, static_cast<std::uint32_t>(std::max(0.0, plant.adc_pin(channel).si * 1000)));
      }
      const Cycles end = (*chip)->now() + clock_hz / 1000;
      (*chip)->expect_edges(turning.until(end));
      (*chip)->run(end, RunUntil::deadline);
    }
  };
  pass(1000);
  const double before = processor_seconds();
  pass(measured_ms);
  const double factor = static_cast<double>(measured_ms) / 1000 / (processor_seconds() - before);
  std::printf("shipping firmware, 5000 edges/s an encoder: %5.1f times real time\n", factor);
  return factor;
}

}  // namespace

int main(int count, char** words) {
  if (count != 3) {
    std::fprintf(stderr, "usage: ringout_emulated_bench SELFCHECK.elf FIRMWARE.elf\n");
    return 2;
  }
  const double coupled = coupled_factor(words[1]), firmware = firmware_factor(words[2]);
  std::printf("wanted: at least %.0f\n", wanted_factor);
  return coupled >= wanted_factor && firmware >= wanted_factor ? 0 : 1;
}
