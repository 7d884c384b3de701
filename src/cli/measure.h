// Quantities on the command line and in what is printed: one closed list of what can be asked and shown.
#pragma once

#include <string>
#include <string_view>

#include "base/result.h"

namespace ringout::cli {

enum class Measure {
  number,  // no unit
  fraction,
  mass,
  length,
  area,
  time,
  speed,
  power,
  energy,
  current,
  charge,
  voltage,
  resistance,
  angle,
  angular_speed,
  torque,
  inertia,
  damping,
  motor_constant,
  speed_constant,
  radius,
  temperature,
  thermal_resistance,
  heat_capacity,
  melting_integral,  // A²s
};

// The unit of values in --json: SI but for degC and rpm, which people read.
[[nodiscard]] const char* json_unit(Measure measure);
[[nodiscard]] double in_json_unit(Measure measure, double si);

// Value and unit for a person: three digits that count, a prefix or a larger unit where that reads better. A time that
// is infinite is "for ever", a value that is not there "none".
[[nodiscard]] std::string shown(Measure measure, double si);
// The same in the unit in which `like` is shown: beside a range that reaches up to `like`.
[[nodiscard]] std::string shown_like(Measure measure, double si, double like);
// "5.51 to 6.83 A"; both in one unit where they have the same.
[[nodiscard]] std::string shown_between(Measure measure, double low, double high);

// "2.1 ohm", or with what it may be off: "2.1 ohm +-10%", "2.1 ohm +-0.2 ohm", also with the sign for plus-minus.
struct Toleranced {
  double si = 0.0;
  double half_width = 0.0;  // 0: exact
};
// Error: bad_input "calc.quantity", its message what was written and what was expected.
[[nodiscard]] Result<Toleranced> read_measure(std::string_view text, Measure measure);
[[nodiscard]] std::string expected_form(Measure measure);  // "a torque, as in 0.9 N*m"

}  // namespace ringout::cli
