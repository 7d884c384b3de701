// Every point at one moment: commanded, expected, measured. Nothing moves by looking.
#include <algorithm>
#include <cmath>
#include <utility>

#include "bind/scaling.h"
#include "session/session.h"

namespace ringout::session {
namespace {

const char* unit_of(bind::Measured measured, bool rate) {
  switch (measured) {
    case bind::Measured::angle:
      return rate ? "rad/s" : "rad";
    case bind::Measured::length:
      return rate ? "m/s" : "m";
    case bind::Measured::state:
      break;
  }
  return "";
}

// Raw number of an input in a sample, for its scale; a switch is 1 while it acts.
double raw_of(const robot::Robot& robot, const robot::Input& input, const capture::Sample& sample) {
  const robot::BoardPort& port = robot.port_of(input.port);
  if (input.kind == robot::PointKind::encoder) return sample.encoders.at(port.index);
  if (input.kind == robot::PointKind::analogue) return port.adc_channel ? sample.adc.at(*port.adc_channel) : 0.0;
  if (input.kind != robot::PointKind::switch_input) return 0.0;
  const auto* device = robot.device_of(input.device).as<robot::SwitchDevice>();
  const bool closed = ((sample.switches >> port.index) & 1U) == 0;
  return closed != (device && device->normally_closed) ? 1.0 : 0.0;
}

// Steady speed of the mechanism at this level: what the motor gives against the drawn friction and weight.
double expected_speed(const robot::Robot& robot, const robot::Output& output, double level, Voltage supply) {
  const auto& motor = *robot.device_of(output.device).as<robot::MotorDevice>();
  const robot::Mechanism& m = *output.mechanism;
  const prove::MotorFigures f = prove::motor_figures(robot, output);
  const double way = level > 0 ? 1.0 : -1.0;
  const double load = m.friction.si * way + f.gravity.si;  // gravity works against positive travel
  const double load_current = load / (m.gear_ratio * m.gear_efficiency * f.constant.si);
  const double drop = f.resistance.si * (motor.free_current.si * way + load_current);
  const double back_emf = level * supply.si - drop;
  if (back_emf * way <= 0.0) return 0.0;
  const double shaft = back_emf / f.constant.si / m.gear_ratio;
  return m.travel_is_length && m.radius ? shaft * m.radius->si : shaft;
}

MeterReading input_reading(const robot::Robot& robot, const robot::Input& input, const capture::Sample& last) {
  const bind::InputScale scale = bind::scale_of(robot, input);
  MeterReading reading;
  reading.point = input.name;
  reading.measured = scale.value(raw_of(robot, input, last));
  reading.unit = unit_of(scale.measured, false);
  return reading;
}

MeterReading output_reading(const robot::Robot& robot, const robot::Output& output,
                            const std::vector<capture::Sample>& samples, Voltage supply) {
  MeterReading reading;
  reading.point = output.name;
  const robot::BoardPort& port = robot.port_of(output.port);
  const capture::Sample& last = samples.back();
  reading.on_off = output.kind == robot::PointKind::on_off;
  const bool on_bridge = port.kind == robot::PortKind::bridge;
  if (on_bridge) reading.commanded = last.levels_permille.at(port.index) / 1000.0 * (output.reversed ? -1.0 : 1.0);
  if (output.kind != robot::PointKind::bridge_motor || !output.mechanism || !reading.commanded) return reading;
  reading.unit = output.mechanism->travel_is_length ? "m/s" : "rad/s";
  reading.expected = *reading.commanded == 0.0 ? 0.0 : expected_speed(robot, output, *reading.commanded, supply);
  const auto sensor = std::find_if(robot.inputs.begin(), robot.inputs.end(), [&](const robot::Input& input) {
    return input.senses == robot::SensesWhat::output_motion && input.senses_output == output.name;
  });
  const double elapsed = static_cast<double>(last.clock_us - samples.front().clock_us) * 1e-6;
  if (sensor == robot.inputs.end() || elapsed <= 0.0) return reading;
  const bind::InputScale scale = bind::scale_of(robot, *sensor);
  reading.measured =
      (scale.value(raw_of(robot, *sensor, last)) - scale.value(raw_of(robot, *sensor, samples.front()))) / elapsed;
  return reading;
}

}  // namespace

Meters Session::meters_from(const link::AgentStatus& status, const std::vector<capture::Sample>& samples) const {
  Meters meters;
  meters.supply = status.supply;
  if (status.program == wire::ProgramState::running) {
    const ProgramAt at = program_at(status);
    meters.waiting_line = "line " + std::to_string(at.line) + (at.step.empty() ? "" : " (" + at.step + ")") +
                          (at.waiting_for.empty() ? "" : ", waits for " + at.waiting_for);
  }
  for (const robot::Output& output : setup_.robot.outputs) {
    meters.points.push_back(output_reading(setup_.robot, output, samples, status.supply));
  }
  for (const robot::Input& input : setup_.robot.inputs) {
    meters.points.push_back(input_reading(setup_.robot, input, samples.back()));
  }
  return meters;
}

Result<void> Session::meters(Duration period, const std::function<bool(const Meters&)>& go_on) {
  if (const std::string lacks = controller_lacks(); !lacks.empty()) {
    return failure(ErrorKind::refused, "session.other-board", lacks, other_board_remedy);
  }
  std::string differs;
  if (const Result<void> suits = controller_suits(); !suits) {
    if (suits.error().kind != ErrorKind::refused) return suits;
    differs = suits.error().message;
    tell(Notice{"what is shown is not surely what is drawn: " + differs});
  }
  if (Result<void> started = start_samples(); !started) return started;
  while (true) {
    Result<std::vector<capture::Sample>> samples = samples_over(period);
    if (!samples) return tl::unexpected<Error>(samples.error());
    const Result<link::AgentStatus> status = client_.status();
    if (!status) return tl::unexpected<Error>(status.error());
    if (!samples->empty()) {
      Meters meters = meters_from(*status, *samples);
      meters.differs = differs;
      if (!go_on(meters)) break;
    }
    if (setup_.person.wants_to_end()) break;
  }
  return quiet_line();
}

}  // namespace ringout::session
