// How fast the twin runs: the demonstration robot and one more motor, all eight outputs on, all sensors, pins coupled
// at 1 kHz, samples of everything at 500 Hz and a hold every 10 ms. Prints simulated seconds per second, and the shares
// of plant and agent measured by running each without the other. Required: at least 300 with everything. Exit status 1
// below.
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>

#include "agent/agent.h"
#include "plant/plant.h"
#include "robot/testing.h"
#include "twin/test_host.h"
#include "twin/twin.h"

namespace {

using namespace ringout;

constexpr double required = 300.0;

// Processor time of this process, so that a busy machine does not change the figure: everything here is one thread.
double seconds_for(const std::function<void()>& work) {
  const std::clock_t start = std::clock();
  work();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

// The demonstration robot has seven outputs; a second belt takes the eighth bridge.
robot::Robot eight_outputs() {
  robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  robot::Output second = *robot.output("belt");
  second.name = "belt_2";
  second.port = "OUT8";
  robot.outputs.push_back(second);
  return robot;
}

std::vector<std::uint8_t> table_of(const robot::Robot& robot) {
  std::vector<std::uint8_t> ports;
  const auto add = [&](const std::string& name) {
    const robot::BoardPort& port = robot.port_of(name);
    ports.push_back(port.kind == robot::PortKind::analogue_input ? port.adc_channel.value() : port.index);
  };
  for (const auto& output : robot.outputs) add(output.port);
  for (const auto& input : robot.inputs) add(input.port);
  return twin::plain_table(twin::firmware_for(robot, 1), ports);
}

// A level for each output that changes direction every second, so that no mechanism stays at its end.
std::int16_t level_at(int ms, std::size_t output) {
  const bool forward = ((ms / 1000) + static_cast<int>(output)) % 2 == 0;
  return static_cast<std::int16_t>(forward ? 300 : -300);
}

double whole_twin(const robot::Robot& robot, int simulated_ms) {
  twin::TwinOptions options;
  options.firmware = twin::firmware_for(robot, 1);
  options.eeprom = twin::eeprom_with_table(table_of(robot));
  twin::Twin t(robot, {}, options);
  twin::TestHost host(t);
  if (host.permit() != wire::Status::ok) std::abort();
  wire::Stream stream;
  stream.period_ms = 2;
  stream.content = wire::sample_all;
  host.ask(stream);
  const double seconds = seconds_for([&] {
    for (int ms = 0; ms < simulated_ms; ms += wire::hold_period_ms) {
      if (ms % 1000 == 0) {
        for (std::size_t i = 0; i < robot.outputs.size(); ++i) {
          const bool on_off = robot.outputs[i].kind == robot::PointKind::on_off;
          host.drive(robot.port_of(robot.outputs[i].port).index, on_off ? std::int16_t{500} : level_at(ms, i));
        }
      }
      host.run_held(wire::hold_period_ms);
      host.heard.clear();
    }
  });
  // A robot at rest would be no measure.
  if (t.plant().truth().battery_amperes < 1.0) std::abort();
  return seconds;
}

double plant_alone(const robot::Robot& robot, int simulated_ms) {
  plant::Plant plant(robot, {}, 1);
  return seconds_for([&] {
    for (int ms = 0; ms < simulated_ms; ++ms) {
      if (ms % 1000 == 0) {
        for (std::size_t i = 0; i < robot.outputs.size(); ++i) {
          const bool on_off = robot.outputs[i].kind == robot::PointKind::on_off;
          plant.command(robot.port_of(robot.outputs[i].port).index, {.duty = on_off ? 0.5 : level_at(ms, i) / 1000.0});
        }
      }
      plant.step(Duration::milliseconds(1));
    }
  });
}

// The agent with its samples and holds, on a plant that stands still: what the tick and the coupling cost.
double agent_and_coupling(const robot::Robot& robot, int simulated_ms) {
  plant::Plant plant(robot, {}, 1);
  twin::HostBoard board(robot.board, plant, twin::eeprom_with_table(table_of(robot)), 1);
  const twin::TwinFirmware built = twin::firmware_for(robot, 1);
  agent::Firmware firmware = {};
  firmware.board_fp = built.board_fp;
  firmware.program_fp = built.program_fp;
  agent::Agent agent(board.port(), firmware, {});
  agent.start(wire::ResetCause::power_on);
  wire::Stream stream;
  stream.period_ms = 2;
  stream.content = wire::sample_all;
  wire::FrameBuilder builder;
  const std::uint16_t size = wire::build(builder, wire::type_stream, 1, stream);
  for (std::uint16_t i = 0; i < size; ++i) agent.on_receive_byte(builder.bytes()[i]);
  std::vector<twin::TimedByte> sent;
  return seconds_for([&] {
    Instant now = board.now();
    for (int ms = 0; ms < simulated_ms; ++ms) {
      now = now + Duration::milliseconds(1);
      board.set_now(now);
      board.take_pins();
      agent.tick();
      sent.clear();
      board.take_sent(now, sent);
    }
  });
}

}  // namespace

int main() {
  const robot::Robot robot = eight_outputs();
  constexpr int simulated_ms = 300'000;
  const double whole = whole_twin(robot, simulated_ms);
  const double plant = plant_alone(robot, simulated_ms);
  const double agent = agent_and_coupling(robot, simulated_ms);
  const double speed = simulated_ms / 1000.0 / whole;
  std::printf("twin: %.0f simulated seconds per second of one core (required %.0f)\n", speed, required);
  std::printf("  plant alone              %5.2f us a millisecond (%.0f %%)\n", plant / simulated_ms * 1e6,
              100 * plant / whole);
  std::printf("  agent and coupling alone %5.2f us a millisecond (%.0f %%)\n", agent / simulated_ms * 1e6,
              100 * agent / whole);
  std::printf("  whole                    %5.2f us a millisecond\n", whole / simulated_ms * 1e6);
  return speed >= required ? 0 : 1;
}
