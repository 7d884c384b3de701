#include "bind/scaling.h"

#include <cmath>

#include "base/check.h"

namespace ringout::bind {
namespace {

struct Seen {
  double per_shaft_radian = 1.0;  // mechanism's unit per radian of the shaft the sensor sits on
  Measured measured = Measured::angle;
};

Seen seen_at_mechanism(const robot::Robot& robot, const robot::Input& input) {
  Seen seen;
  if (input.senses != robot::SensesWhat::output_motion) return seen;
  const robot::Output* output = robot.output(input.senses_output);
  if (output == nullptr || !output->mechanism) return seen;
  if (input.on_motor_shaft) seen.per_shaft_radian /= output->mechanism->gear_ratio;
  if (output->mechanism->travel_is_length && output->mechanism->radius) {
    seen.per_shaft_radian *= output->mechanism->radius->in(metres_per_radian(1));
    seen.measured = Measured::length;
  }
  return seen;
}

InputScale encoder_scale(const robot::Robot& robot, const robot::Input& input, const robot::EncoderDevice& device) {
  RINGOUT_CHECK(device.lines_per_revolution > 0);
  const Seen seen = seen_at_mechanism(robot, input);
  const double shaft = 2.0 * pi / (4.0 * device.lines_per_revolution);
  return {shaft * seen.per_shaft_radian * (input.reversed ? -1.0 : 1.0), 0.0, seen.measured};
}

InputScale analogue_scale(const robot::Robot& robot, const robot::Input& input, const robot::AnalogueDevice& device) {
  const double volts_per_code =
      robot.board.logic.in(volts(1)) / std::exp2(robot.board.adc_bits) * robot.port_of(input.port).divider_ratio;
  const double at_low = (input.reversed ? device.at_high : device.at_low).in(volts(1));
  const double at_high = (input.reversed ? device.at_low : device.at_high).in(volts(1));
  RINGOUT_CHECK(at_low != at_high);
  const double per_volt = (device.high_value - device.low_value) / (at_high - at_low);
  InputScale scale{per_volt * volts_per_code, device.low_value - per_volt * at_low, Measured::length};
  if (device.measures_distance) return scale;
  const Seen seen = seen_at_mechanism(robot, input);
  return {scale.scale * seen.per_shaft_radian, scale.offset * seen.per_shaft_radian, seen.measured};
}

}  // namespace

InputScale scale_of(const robot::Robot& robot, const robot::Input& input) {
  const robot::Device& device = robot.device_of(input.device);
  if (const auto* encoder = device.as<robot::EncoderDevice>()) return encoder_scale(robot, input, *encoder);
  if (const auto* analogue = device.as<robot::AnalogueDevice>()) return analogue_scale(robot, input, *analogue);
  return {};
}

const robot::Input* travel_sensor_of(const robot::Robot& robot, const robot::Output& output) {
  if (!output.mechanism || !output.mechanism->travel) return nullptr;
  for (const auto& input : robot.inputs) {
    if (input.kind == robot::PointKind::analogue && input.senses == robot::SensesWhat::output_motion &&
        input.senses_output == output.name) {
      return &input;
    }
  }
  return nullptr;
}

}  // namespace ringout::bind
