#include "cli/measure.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "robot/unit_text.h"
#include "units/quantity.h"

namespace ringout::cli {
namespace {

using robot::Dimension;

struct Step {
  double least;  // of the value, from which on this unit is used
  double unit;   // in SI
  const char* name;
};

constexpr double per_minute = 2.0 * pi / 60.0;
constexpr Step plain[] = {{0.0, 1.0, ""}};
constexpr Step fractions[] = {{0.0, 0.01, "%"}};
constexpr Step masses[] = {{0.0, 1e-3, "g"}, {1.0, 1.0, "kg"}};
constexpr Step lengths[] = {{0.0, 1e-3, "mm"}, {1.0, 1.0, "m"}};
constexpr Step areas[] = {{0.0, 1e-6, "mm²"}};
constexpr Step times[] = {{0.0, 1e-3, "ms"}, {1.0, 1.0, "s"}, {100.0, 60.0, "min"}, {6000.0, 3600.0, "h"}};
constexpr Step speeds[] = {{0.0, 1e-3, "mm/s"}, {0.1, 1.0, "m/s"}};
constexpr Step powers[] = {{0.0, 1e-3, "mW"}, {0.1, 1.0, "W"}, {1000.0, 1000.0, "kW"}};
constexpr Step energies[] = {{0.0, 1.0, "J"}, {3600.0, 3600.0, "Wh"}};
constexpr Step currents[] = {{0.0, 1e-3, "mA"}, {0.1, 1.0, "A"}};
constexpr Step charges[] = {{0.0, 3.6, "mAh"}, {360.0, 3600.0, "Ah"}};
constexpr Step voltages[] = {{0.0, 1e-3, "mV"}, {0.1, 1.0, "V"}};
constexpr Step resistances[] = {{0.0, 1e-3, "mohm"}, {1.0, 1.0, "ohm"}, {1000.0, 1000.0, "kohm"}};
constexpr Step angles[] = {{0.0, pi / 180.0, "deg"}, {4.0 * pi, 2.0 * pi, "turns"}};
constexpr Step angular_speeds[] = {{0.0, per_minute, "rpm"}};
constexpr Step torques[] = {{0.0, 1e-3, "mN·m"}, {0.1, 1.0, "N·m"}};
constexpr Step inertias[] = {{0.0, 1.0, "kg·m²"}};
constexpr Step dampings[] = {{0.0, 1.0, "N·m·s/rad"}};
constexpr Step motor_constants[] = {{0.0, 1e-3, "mN·m/A"}, {0.1, 1.0, "N·m/A"}};
constexpr Step speed_constants[] = {{0.0, per_minute, "rpm/V"}};
constexpr Step radii[] = {{0.0, 1e-3, "mm/rad"}};
constexpr Step thermal_resistances[] = {{0.0, 1.0, "K/W"}};
constexpr Step heat_capacities[] = {{0.0, 1.0, "J/K"}};
constexpr Step melting_integrals[] = {{0.0, 1.0, "A²s"}};

struct Form {
  std::span<const Step> steps;
  std::optional<Dimension> dimension;  // absent: read here
  const char* json_unit;
  const char* name;
  const char* example;
};

// In the order of enum Measure.
const std::array<Form, 25>& forms() {
  static const std::array<Form, 25> table{{
      {plain, {}, "1", "a number", "60"},
      {fractions, Dimension::fraction, "1", "a fraction", "80 %"},
      {masses, Dimension::mass, "kg", "a mass", "8 kg"},
      {lengths, Dimension::length, "m", "a length", "300 mm"},
      {areas, Dimension::area, "m2", "a cross-section", "1.5 mm2"},
      {times, Dimension::time, "s", "a time", "40 ms"},
      {speeds, Dimension::speed, "m/s", "a speed", "0.5 m/s"},
      {powers, Dimension::power, "W", "a power", "60 W"},
      {energies, Dimension::energy, "J", "an energy", "5 J"},
      {currents, Dimension::current, "A", "a current", "2.5 A"},
      {charges, Dimension::charge, "C", "a charge", "7 Ah"},
      {voltages, Dimension::voltage, "V", "a voltage", "12 V"},
      {resistances, Dimension::resistance, "ohm", "a resistance", "25 mohm"},
      {angles, Dimension::angle, "rad", "an angle", "90 deg"},
      {angular_speeds, Dimension::angular_speed, "rpm", "an angular speed", "5200 rpm"},
      {torques, Dimension::torque, "N*m", "a torque", "0.9 N*m"},
      {inertias, Dimension::inertia, "kg*m2", "a moment of inertia", "1.2e-5 kg*m2"},
      {dampings, Dimension::damping, "N*m*s/rad", "a rotational damping", "0.002 N*m*s/rad"},
      {motor_constants, Dimension::motor_constant, "N*m/A", "a motor constant", "21.6 mN*m/A"},
      {speed_constants, {}, "rpm/V", "a speed constant", "440 rpm/V"},
      {radii, Dimension::radius, "m/rad", "a radius, or a way for each turn", "80 mm, 8 mm/rev"},
      {plain, {}, "degC", "a temperature", "40 degC"},
      {thermal_resistances, {}, "K/W", "a thermal resistance", "2.5 K/W"},
      {heat_capacities, {}, "J/K", "a heat capacity", "90 J/K"},
      {melting_integrals, Dimension::melting_integral, "A2*s", "a melting integral", "520 A2*s"},
  }};
  return table;
}

const Form& form_of(Measure measure) {
  return forms()[static_cast<std::size_t>(measure)];
}

// Three digits that count, never in powers of ten where plain digits do.
std::string digits(double value, int wanted = 3) {
  if (value == 0.0) return "0";
  const double size = std::abs(value);
  if (size < 1e-3 || size >= 1e6) return fmt::format("{:.3g}", value);
  const int before = static_cast<int>(std::floor(std::log10(size) + 1e-12)) + 1;
  std::string text = fmt::format("{:.{}f}", value, std::max(0, wanted - before));
  if (text.find('.') != std::string::npos) {
    while (text.back() == '0') text.pop_back();
    if (text.back() == '.') text.pop_back();
  }
  return text;
}

// Volts count to the hundredth: the margins of this job are tenths of a volt.
int digits_of(Measure measure) {
  return measure == Measure::voltage ? 4 : 3;
}

const Step& step_for(const Form& form, double si) {
  const Step* chosen = form.steps.data();
  if (si == 0.0) {
    for (const Step& step : form.steps) chosen = step.unit == 1.0 ? &step : chosen;
    return *chosen;
  }
  for (const Step& step : form.steps) {
    if (std::abs(si) >= step.least * (1.0 - 1e-9)) chosen = &step;
  }
  return *chosen;
}

std::string with_unit(const std::string& value, const char* unit) {
  return *unit == '\0' ? value : value + " " + unit;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

tl::unexpected<Error> not_this(std::string_view text, Measure measure, std::string why = {}) {
  std::string message = why.empty() ? fmt::format("\"{}\" is not {}", text, form_of(measure).name) : std::move(why);
  return failure(ErrorKind::bad_input, "calc.quantity", std::move(message), "write " + expected_form(measure));
}

struct OwnUnit {
  Measure measure;
  std::string_view text;
  double factor;
  double offset = 0.0;
};
// Units that the robot file's reader does not know.
constexpr OwnUnit own_units[] = {{Measure::speed_constant, "rpm/V", per_minute},
                                 {Measure::speed_constant, "rad/s/V", 1.0},
                                 {Measure::temperature, "degC", 1.0, 273.15},
                                 {Measure::temperature, "°C", 1.0, 273.15},
                                 {Measure::temperature, "K", 1.0},
                                 {Measure::thermal_resistance, "K/W", 1.0},
                                 {Measure::heat_capacity, "J/K", 1.0},
                                 {Measure::number, "", 1.0}};

Result<double> read_own(std::string_view text, Measure measure) {
  double number = 0.0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (problem != std::errc{} || !std::isfinite(number)) return not_this(text, measure);
  const std::string_view unit = trimmed(text.substr(static_cast<std::size_t>(end - text.data())));
  for (const OwnUnit& own : own_units) {
    if (own.measure == measure && own.text == unit) return number * own.factor + own.offset;
  }
  return not_this(text, measure);
}

Result<double> read_exact(std::string_view text, Measure measure) {
  text = trimmed(text);
  const auto& dimension = form_of(measure).dimension;
  if (!dimension) return read_own(text, measure);
  const auto reading = robot::read_quantity(text, *dimension);
  if (!reading.si) return not_this(text, measure, reading.fault.message);
  return *reading.si;
}

// A half width: a share of the value, or a quantity of the same kind (a difference, for temperatures).
Result<double> read_half_width(std::string_view text, Measure measure, double value) {
  text = trimmed(text);
  if (text.ends_with('%') && measure == Measure::temperature) {
    return failure(ErrorKind::bad_input, "calc.quantity",
                   fmt::format("a tolerance of a temperature is a difference, and \"{}\" is a percentage", text),
                   "write it behind the value as in 25 degC +-5 K");
  }
  if (text.ends_with('%') && measure != Measure::fraction) {
    const auto share = robot::read_quantity(text, Dimension::fraction);
    if (!share.si) return not_this(text, measure, share.fault.message);
    return std::abs(value) * *share.si;
  }
  auto width = read_exact(text, measure);
  if (width && measure == Measure::temperature && !text.ends_with('K')) *width -= 273.15;
  return width;
}

}  // namespace

const char* json_unit(Measure measure) {
  return form_of(measure).json_unit;
}

double in_json_unit(Measure measure, double si) {
  if (measure == Measure::temperature) return si - 273.15;
  if (measure == Measure::angular_speed || measure == Measure::speed_constant) return si / per_minute;
  return si;
}

std::string expected_form(Measure measure) {
  return fmt::format("{}, as in {}", form_of(measure).name, form_of(measure).example);
}

std::string shown(Measure measure, double si) {
  if (std::isnan(si)) return "none";
  if (std::isinf(si)) return measure == Measure::time ? "for ever" : "without limit";
  if (measure == Measure::temperature) return fmt::format("{:.0f} °C", si - 273.15);
  if (measure == Measure::fraction && std::abs(si) < 5e-4) si = 0.0;
  const Step& step = step_for(form_of(measure), si);
  return with_unit(digits(si / step.unit, digits_of(measure)), step.name);
}

std::string shown_like(Measure measure, double si, double like) {
  if (!std::isfinite(si) || !std::isfinite(like) || measure == Measure::temperature) return shown(measure, si);
  const Step& step = step_for(form_of(measure), like);
  return with_unit(digits(si / step.unit, digits_of(measure)), step.name);
}

std::string shown_between(Measure measure, double low, double high) {
  if (measure == Measure::temperature && std::isfinite(low) && std::isfinite(high)) {
    return fmt::format("{:.0f} to {:.0f} °C", low - 273.15, high - 273.15);
  }
  if (!std::isfinite(low) || !std::isfinite(high)) return shown(measure, low) + " to " + shown(measure, high);
  const Step& step = step_for(form_of(measure), std::max(std::abs(low), std::abs(high)));
  const std::string from = digits(low / step.unit, digits_of(measure));
  // A bound that would lose its digits in the other one's unit keeps its own.
  if (step_for(form_of(measure), low).unit < step.unit && std::abs(low) < 0.1 * step.unit && low != 0.0) {
    return shown(measure, low) + " to " + shown(measure, high);
  }
  return from + " to " + with_unit(digits(high / step.unit, digits_of(measure)), step.name);
}

Result<Toleranced> read_measure(std::string_view text, Measure measure) {
  std::size_t sign_length = 2;
  std::size_t sign = text.find("+-");
  if (sign == std::string_view::npos) {
    sign = text.find("±");
    sign_length = std::string_view("±").size();
  }
  const auto value = read_exact(text.substr(0, sign), measure);
  if (!value) return tl::unexpected(value.error());
  Toleranced out{*value, 0.0};
  if (sign == std::string_view::npos) return out;
  const auto width = read_half_width(text.substr(sign + sign_length), measure, *value);
  if (!width) return tl::unexpected(width.error());
  if (!(*width >= 0.0)) return not_this(text, measure, fmt::format("\"{}\" has a tolerance below zero", text));
  out.half_width = *width;
  return out;
}

}  // namespace ringout::cli
