// Quantities as people write them in files: "0.9 N*m", "24 in", "90 %", "18 AWG". Units go through UDUNITS-2 with a
// unit system of our own (docs/decisions/0002-unit-text.md), in which the radian is a base unit as in units/quantity.h.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/quantity.h"

namespace ringout::robot {

// What a key of a file may hold. Each allows exactly one dimension, except that torque, inertia, damping, motor
// constant and radius may leave out the radian ("N*m" for N·m/rad, "mm" for mm/rad), as the trade writes them.
enum class Dimension {
  fraction,
  mass,
  length,
  area,
  time,
  frequency,
  speed,
  force,
  power,
  energy,
  current,
  charge,
  voltage,
  resistance,
  inductance,
  angle,
  angular_speed,
  torque,
  inertia,
  damping,
  motor_constant,
  radius,
  melting_integral,  // A²s
  temperature,       // "25 degC", "298 K", "77 degF"
  thermal_resistance,
  heat_capacity,
  temperature_coefficient,  // "-0.2 %/K", "-0.002 1/K" is written "-0.002 K-1"
  speed_constant,
};

[[nodiscard]] const char* name_of(Dimension dimension);     // "a torque"
[[nodiscard]] const char* example_of(Dimension dimension);  // "0.9 N*m"
[[nodiscard]] const char* si_unit_of(Dimension dimension);  // "kg m2 s-2 rad-1"

// Why a text is no quantity of the wanted dimension.
struct QuantityFault {
  enum class Kind { no_number, no_unit, unknown_unit, wrong_dimension, not_finite, bad_tolerance };
  Kind kind = Kind::no_number;
  std::string message;  // "24 in" is a length; a torque is expected here
};

struct QuantityReading {
  std::optional<double> si;  // set: read; SI value
  QuantityFault fault;       // else
  double half_width = 0.0;   // SI; of the tolerance, where one was allowed and written
};

[[nodiscard]] QuantityReading read_quantity(std::string_view text, Dimension dimension);

// The same with a tolerance behind it: "2.1 ohm +-10 %", "2.1 ohm ± 0.2 ohm". A percentage is one of the value; behind
// a fraction that is written in per cent it counts in its points ("80 % +-5 %" is 75 % to 85 %). A temperature's is a
// difference, "25 degC +-5 K".
[[nodiscard]] QuantityReading read_tolerated(std::string_view text, Dimension dimension);
// A plain number with its tolerance: "60 +-1 %", "1.12 +-0.03".
[[nodiscard]] QuantityReading read_tolerated_number(std::string_view text);

// The wire size of "18 AWG" (1 to 40); nothing where the text is not written like one.
[[nodiscard]] std::optional<int> read_awg(std::string_view text);

}  // namespace ringout::robot
