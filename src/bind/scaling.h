// What an input's raw number means: value = raw · scale + offset, in rad or m of the mechanism it watches.
//
//   encoder   raw: counts, four a line. scale = ±2π / (4 · lines) rad of its shaft, over the gear ratio where it sits
//             on the motor's shaft, times the radius where the mechanism's travel is a length. Its zero is wherever the
//             shaft stood at power-up: it tells a distance, never a place.
//   analogue  raw: ADC code; volts at the input = raw · logic / 2^bits · divider (ATmega2560 data sheet, "ADC
//             Conversion Result": ADC = Vin · 1024 / Vref). Linear between the device's two points, then seen at the
//             mechanism as above.
//   switch    raw: 1 while the switch is operated (pressed); scale 1, offset 0.
// `reversed` turns the sign (encoder) or exchanges the voltages of the two points (analogue).
#pragma once

#include <optional>

#include "robot/robot.h"

namespace ringout::bind {

enum class Measured { state, angle, length };

struct InputScale {
  double scale = 1.0;
  double offset = 0.0;
  Measured measured = Measured::state;

  [[nodiscard]] double value(double raw) const { return raw * scale + offset; }
  [[nodiscard]] double raw(double value_si) const { return (value_si - offset) / scale; }
};

// The input must be of a resolved robot; kinds that give no number (bus device) have scale 1.
[[nodiscard]] InputScale scale_of(const robot::Robot& robot, const robot::Input& input);

// The input that tells where an output's mechanism stands: an analogue one that senses its motion, as only such a
// sensor knows the place after power-up. None: nullptr.
[[nodiscard]] const robot::Input* travel_sensor_of(const robot::Robot& robot, const robot::Output& output);

}  // namespace ringout::bind
