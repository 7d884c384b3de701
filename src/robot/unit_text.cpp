#include "robot/unit_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <mutex>
#include <utility>
#include <vector>

#include "robot/unit_system.h"

namespace ringout::robot {

namespace {

struct DimensionText {
  const char* name;
  const char* example;
  const char* si;         // the SI unit in our unit system
  const char* also = "";  // the same without the radian
};

// In the order of enum Dimension.
constexpr std::array<DimensionText, 28> dimension_texts{{
    {"a fraction", "80 %", "1"},
    {"a mass", "12 kg", "kg"},
    {"a length", "300 mm", "m"},
    {"a cross-section", "1.5 mm2", "m2"},
    {"a time", "40 ms", "s"},
    {"a frequency", "20 kHz", "Hz"},
    {"a speed", "0.5 m/s", "m s-1"},
    {"a force", "20 N", "kg m s-2"},
    {"a power", "60 W", "kg m2 s-3"},
    {"an energy", "5 J", "kg m2 s-2"},
    {"a current", "2.5 A", "A"},
    {"a charge", "7 Ah", "A s"},
    {"a voltage", "12 V", "V"},
    {"a resistance", "25 mohm", "ohm"},
    {"an inductance", "0.4 mH", "kg m2 s-2 A-2"},
    {"an angle", "90 deg", "rad"},
    {"an angular speed", "5200 rpm", "rad s-1"},
    {"a torque", "0.9 N*m", "kg m2 s-2 rad-1", "kg m2 s-2"},
    {"a moment of inertia", "1.2e-5 kg*m2", "kg m2 rad-2", "kg m2"},
    {"a rotational damping", "0.002 N*m*s/rad", "kg m2 s-1 rad-2", "kg m2 s-1 rad-1"},
    {"a motor constant", "0.02 V*s/rad", "kg m2 s-2 A-1 rad-1", "kg m2 s-2 A-1"},
    {"a radius", "80 mm", "m rad-1", "m"},
    {"a melting integral", "120 A2*s", "A2 s"},
    {"a temperature", "25 degC", "K"},
    {"a thermal resistance", "8 K/W", "K s3 kg-1 m-2"},
    {"a heat capacity", "40 J/K", "kg m2 s-2 K-1"},
    {"a temperature coefficient", "-0.2 %/K", "K-1"},
    {"a speed constant", "430 rpm/V", "rad A s2 kg-1 m-2", "A s2 kg-1 m-2"},
}};

const DimensionText& text_of(Dimension d) {
  return dimension_texts[static_cast<std::size_t>(d)];
}

bool digit(char c) {
  return c >= '0' && c <= '9';
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

QuantityReading fault(QuantityFault::Kind kind, std::string message) {
  return {std::nullopt, {kind, std::move(message)}, 0.0};
}

std::string what_it_is(const UnitSystem& system, const Unit& unit) {
  for (const DimensionText& d : dimension_texts) {
    if (system.factor(unit, d.si)) return d.name;
  }
  for (const DimensionText& d : dimension_texts) {
    if (*d.also != '\0' && system.factor(unit, d.also)) return d.name;
  }
  return "something else";
}

std::optional<double> factor_to(const UnitSystem& system, const Unit& unit, const DimensionText& wanted) {
  std::optional<double> factor = system.factor(unit, wanted.si);
  if (!factor && *wanted.also != '\0') factor = system.factor(unit, wanted.also);
  return factor;
}

// "kgcm" for a torque: units that are joined without a sign, and a weight's mass in the place of its force. Each way of
// writing it otherwise is tried for one that belongs here; empty: none does.
std::string meant_unit(const UnitSystem& system, const std::string& unit, const DimensionText& wanted) {
  static constexpr std::string_view masses[] = {"kg", "g", "lb", "oz"};
  if (unit.size() > longest_unit) return {};
  for (std::size_t cut = 0; cut < unit.size(); ++cut) {
    const std::string joined = cut == 0 ? unit : unit.substr(0, cut) + "*" + unit.substr(cut);
    std::vector<std::string> tried{joined};
    for (const std::string_view mass : masses) {
      if (joined.starts_with(std::string(mass) + "*"))
        tried.push_back(joined.substr(0, mass.size()) + "f" + joined.substr(mass.size()));
    }
    for (const std::string& one : tried) {
      const Unit parsed = system.parse_plain(one);
      if (parsed && factor_to(system, parsed, wanted)) return one;
    }
  }
  return {};
}

QuantityReading convert(double number, std::string_view text, const std::string& unit_text, Dimension dimension) {
  const DimensionText& wanted = text_of(dimension);
  LockedUnits& locked = locked_units();
  const std::lock_guard<std::mutex> hold(locked.mutex);
  const UnitSystem& system = locked.system;
  const Unit unit = system.parse_plain(unit_text);
  const std::optional<double> factor = unit ? factor_to(system, unit, wanted) : std::nullopt;
  if (!factor) {
    const std::string meant = meant_unit(system, unit_text, wanted);
    const std::string ask = meant.empty() ? "" : fmt::format("; did you mean \"{} {}\"?", number, meant);
    if (!unit) {
      return fault(QuantityFault::Kind::unknown_unit,
                   fmt::format("\"{}\" has no unit that is known here{}", text, ask));
    }
    return fault(QuantityFault::Kind::wrong_dimension,
                 fmt::format("\"{}\" is {}, but {} belongs here{}", text, what_it_is(system, unit), wanted.name, ask));
  }
  const double si = number * *factor;
  if (!std::isfinite(si))
    return fault(QuantityFault::Kind::not_finite, fmt::format("\"{}\" is no number to use", text));
  return {si, {}, 0.0};
}

// "0,6 m"; but "1,200 m" may be a thousand.
QuantityReading comma_fault(std::string_view text) {
  const std::size_t comma = text.find(',');
  const std::string_view behind = text.substr(comma + 1);
  const std::size_t end = std::min(behind.size(), behind.find_first_not_of("0123456789"));
  const bool more =
      text.substr(0, comma).find('.') != std::string_view::npos || behind.find_first_of(",.") != std::string_view::npos;
  if (more || (end == 3 && text.substr(0, comma) != "0")) {
    return fault(QuantityFault::Kind::no_number,
                 fmt::format("\"{}\" has a comma in its number; decimals stand behind a point, and nothing parts "
                             "thousands",
                             text));
  }
  return fault(QuantityFault::Kind::no_number, fmt::format("\"{}\" has a decimal comma; write {}.{}: a point, no comma",
                                                           text, text.substr(0, comma), behind));
}

struct NumberAndRest {
  std::optional<double> number;
  std::string_view rest;  // without blanks around it
};

NumberAndRest number_in(std::string_view text) {
  double number = 0.0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (problem != std::errc{}) return {};
  return {number, trimmed(text.substr(static_cast<std::size_t>(end - text.data())))};
}

struct ValueAndTolerance {
  std::string_view value;
  std::optional<std::string_view> tolerance;
};

ValueAndTolerance split(std::string_view text) {
  for (const std::string_view sign : {std::string_view("+-"), std::string_view("\u00b1")}) {
    const std::size_t at = text.find(sign);
    if (at != std::string_view::npos) return {text.substr(0, at), trimmed(text.substr(at + sign.size()))};
  }
  return {text, std::nullopt};
}

QuantityReading with_half_width(QuantityReading value, double half_width, std::string_view text) {
  if (!std::isfinite(half_width) || half_width <= 0.0) {
    return fault(QuantityFault::Kind::bad_tolerance,
                 fmt::format("the tolerance of \"{}\" is not above zero", trimmed(text)));
  }
  value.half_width = half_width;
  return value;
}

}  // namespace

const char* name_of(Dimension dimension) {
  return text_of(dimension).name;
}
const char* example_of(Dimension dimension) {
  return text_of(dimension).example;
}

const char* si_unit_of(Dimension dimension) {
  return text_of(dimension).si;
}

QuantityReading read_quantity(std::string_view text, Dimension dimension) {
  const std::string_view body = trimmed(text);
  const NumberAndRest read = number_in(body);
  if (!read.number) {
    return fault(QuantityFault::Kind::no_number, fmt::format("\"{}\" does not begin with a number", text));
  }
  const double number = *read.number;
  if (!std::isfinite(number)) {
    return fault(QuantityFault::Kind::not_finite, fmt::format("\"{}\" is no number to use", text));
  }
  const std::string_view rest = read.rest;
  if (rest.size() > 1 && rest[0] == ',' && digit(rest[1])) return comma_fault(body);
  if (dimension == Dimension::fraction && rest.empty()) return {number, {}, 0.0};
  if (rest == "%" || rest == "percent") {
    if (dimension == Dimension::fraction) return {number / 100.0, {}, 0.0};
    return fault(QuantityFault::Kind::wrong_dimension,
                 fmt::format("\"{}\" is a fraction, but {} belongs here", text, name_of(dimension)));
  }
  if (rest.empty()) return fault(QuantityFault::Kind::no_unit, fmt::format("\"{}\" has no unit", text));
  const std::string unit = in_ascii(rest);
  if (unit == "degC" || unit == "degF") {
    if (dimension == Dimension::temperature) return {unit == "degC" ? number + 273.15 : (number + 459.67) / 1.8, {}, 0};
    return fault(QuantityFault::Kind::wrong_dimension,
                 fmt::format("\"{}\" is a temperature, but {} belongs here", text, name_of(dimension)));
  }
  if (unit == "%/K" || unit == "% / K") return convert(number / 100.0, text, "K-1", dimension);
  return convert(number, text, unit, dimension);
}

QuantityReading read_tolerated(std::string_view text, Dimension dimension) {
  const ValueAndTolerance parts = split(text);
  QuantityReading value = read_quantity(parts.value, dimension);
  if (!value.si || !parts.tolerance) return value;
  const std::string_view tolerance = *parts.tolerance;
  const NumberAndRest read = number_in(tolerance);
  const bool points = dimension == Dimension::fraction && parts.value.find_first_of("%p") != std::string_view::npos;
  if (read.number && read.rest == "%" && !points) {
    if (dimension == Dimension::temperature) {
      return fault(QuantityFault::Kind::bad_tolerance,
                   fmt::format("a tolerance of a temperature is a difference, and \"{}\" is a percentage", tolerance));
    }
    return with_half_width(value, *read.number / 100.0 * std::abs(*value.si), text);
  }
  if (dimension == Dimension::temperature && read.number) {
    const std::string unit = in_ascii(read.rest);
    if (unit == "degC") return with_half_width(value, *read.number, text);
    if (unit == "degF") return with_half_width(value, *read.number / 1.8, text);
  }
  const QuantityReading width = read_quantity(tolerance, dimension);
  if (!width.si) return fault(QuantityFault::Kind::bad_tolerance, "in the tolerance, " + width.fault.message);
  return with_half_width(value, *width.si, text);
}

QuantityReading read_tolerated_number(std::string_view text) {
  const ValueAndTolerance parts = split(text);
  const NumberAndRest value = number_in(trimmed(parts.value));
  if (!value.number || !value.rest.empty() || !std::isfinite(*value.number)) {
    return fault(QuantityFault::Kind::no_number, fmt::format("\"{}\" is no plain number", text));
  }
  QuantityReading out{value.number, {}, 0.0};
  if (!parts.tolerance) return out;
  const NumberAndRest width = number_in(*parts.tolerance);
  if (width.number && width.rest == "%") {
    return with_half_width(out, *width.number / 100.0 * std::abs(*value.number), text);
  }
  if (width.number && width.rest.empty()) return with_half_width(out, *width.number, text);
  return fault(QuantityFault::Kind::bad_tolerance,
               fmt::format("\"{}\" is no tolerance of a plain number", *parts.tolerance));
}

std::optional<int> read_awg(std::string_view text) {
  const std::string_view body = trimmed(text);
  int size = 0;
  const auto [end, problem] = std::from_chars(body.data(), body.data() + body.size(), size);
  if (problem != std::errc{} || size < 1 || size > 40) return std::nullopt;
  const std::string_view rest = trimmed(body.substr(static_cast<std::size_t>(end - body.data())));
  if (rest != "AWG" && rest != "awg") return std::nullopt;
  return size;
}

}  // namespace ringout::robot
