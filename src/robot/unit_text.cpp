#include "robot/unit_text.h"

#include <fmt/format.h>
#include <udunits2.h>

#include <array>
#include <charconv>
#include <cmath>
#include <memory>
#include <mutex>
#include <utility>
#include <vector>

#include "base/check.h"

namespace ringout::robot {

namespace {

struct UnitFree {
  void operator()(ut_unit* unit) const { ut_free(unit); }
};
using Unit = std::unique_ptr<ut_unit, UnitFree>;

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

struct Definition {
  const char* name;
  double factor;
  const char* of;
};

// Factors are exact by definition: inch 25.4 mm and pound 0.45359237 kg (international yard and pound agreement, 1959),
// standard gravity 9.80665 m/s2.
constexpr Definition definitions[] = {
    {"g", 1e-3, "kg"},
    {"N", 1.0, "kg m s-2"},
    {"J", 1.0, "N m"},
    {"W", 1.0, "J/s"},
    {"V", 1.0, "W/A"},
    {"ohm", 1.0, "V/A"},
    {"H", 1.0, "V s/A"},
    {"Hz", 1.0, "s-1"},
    {"Nm", 1.0, "N m"},
    {"min", 60.0, "s"},
    {"h", 3600.0, "s"},
    {"Ah", 3600.0, "A s"},
    {"Wh", 3600.0, "J"},
    {"deg", pi / 180.0, "rad"},
    {"degree", pi / 180.0, "rad"},
    {"degrees", pi / 180.0, "rad"},
    {"rev", 2.0 * pi, "rad"},
    {"revolution", 2.0 * pi, "rad"},
    {"turn", 2.0 * pi, "rad"},
    {"rpm", 2.0 * pi / 60.0, "rad/s"},
    {"in", 0.0254, "m"},
    {"inch", 0.0254, "m"},
    {"ft", 0.3048, "m"},
    {"lb", 0.45359237, "kg"},
    {"oz", 0.45359237 / 16.0, "kg"},
    {"kgf", 9.80665, "N"},
    {"gf", 9.80665e-3, "N"},
    {"lbf", 0.45359237 * 9.80665, "N"},
    {"ozf", 0.45359237 / 16.0 * 9.80665, "N"},
    {"l", 1e-3, "m3"},
};

constexpr std::pair<const char*, double> prefixes[] = {{"n", 1e-9}, {"u", 1e-6}, {"m", 1e-3}, {"c", 1e-2},
                                                       {"d", 1e-1}, {"k", 1e3},  {"M", 1e6}};

// The unit system, built by program in some 50 µs; the library's XML takes 6 ms to read and has no radian dimension.
class UnitSystem {
 public:
  UnitSystem() : system_(ut_new_system()) {
    RINGOUT_CHECK(system_ != nullptr);
    ut_set_error_message_handler(ut_ignore);
    for (const auto& [prefix, factor] : prefixes) ut_add_symbol_prefix(system_, prefix, factor);
    for (const char* base : {"kg", "m", "s", "A", "K", "rad"}) {
      const Unit unit(ut_new_base_unit(system_));
      ut_map_symbol_to_unit(base, UT_ASCII, unit.get());
    }
    for (const Definition& d : definitions) {
      const Unit of = parse(d.of);
      RINGOUT_CHECK(of != nullptr);
      const Unit unit(ut_scale(d.factor, of.get()));
      ut_map_symbol_to_unit(d.name, UT_ASCII, unit.get());
    }
  }
  ~UnitSystem() { ut_free_system(system_); }
  UnitSystem(const UnitSystem&) = delete;
  UnitSystem& operator=(const UnitSystem&) = delete;

  [[nodiscard]] Unit parse(const char* text) const { return Unit(ut_parse(system_, text, UT_ASCII)); }

  // How many of `to` one `from` is, where both have the very same dimension. The library by itself also takes a unit
  // for its reciprocal (s for Hz), hence the quotient.
  [[nodiscard]] std::optional<double> factor(const Unit& from, const char* to_text) const {
    const Unit to = parse(to_text);
    RINGOUT_CHECK(to != nullptr);
    const Unit quotient(ut_divide(from.get(), to.get()));
    const Unit one(ut_get_dimensionless_unit_one(system_));
    if (!quotient || ut_are_convertible(quotient.get(), one.get()) == 0) return std::nullopt;
    cv_converter* converter = ut_get_converter(quotient.get(), one.get());
    if (converter == nullptr) return std::nullopt;
    const double factor = cv_convert_double(converter, 1.0);
    cv_free(converter);
    return factor;
  }

 private:
  ut_system* system_;
};

// The library's parser keeps its state in globals, so it is entered by one thread at a time.
struct Locked {
  std::mutex mutex;
  UnitSystem system;
};

Locked& units() {
  static Locked locked;
  return locked;
}

// µ, Ω, °, ·, ², ³ in ASCII, so that the library's own reading of text encodings does not matter.
std::string in_ascii(std::string_view text) {
  static constexpr std::pair<std::string_view, std::string_view> spellings[] = {
      {"\u00b5", "u"},    {"\u03bc", "u"}, {"\u03a9", "ohm"}, {"\u2126", "ohm"}, {"\u00b0", "deg"},
      {"\u2103", "degC"}, {"\u00b7", "*"}, {"\u22c5", "*"},   {"\u00b2", "2"},   {"\u00b3", "3"}};
  std::string out;
  while (!text.empty()) {
    std::size_t taken = 1;
    std::string_view as = text.substr(0, 1);
    for (const auto& [spelling, ascii] : spellings) {
      if (text.substr(0, spelling.size()) == spelling) {
        taken = spelling.size();
        as = ascii;
        break;
      }
    }
    out += as;
    text.remove_prefix(taken);
  }
  return out;
}

bool letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool digit(char c) {
  return c >= '0' && c <= '9';
}

// Letters, "*", "/", "^", blanks, and exponents of one digit: the library's grammar also knows dates, logarithms and
// offsets, and none of them belongs in a robot file.
bool plain_unit(std::string_view unit) {
  if (unit.empty() || unit.size() > 32) return false;
  for (std::size_t i = 0; i < unit.size(); ++i) {
    const char c = unit[i];
    const char before = i == 0 ? ' ' : unit[i - 1];
    if (letter(c)) continue;
    if (c == ' ' || c == '*' || c == '/') continue;
    if (c == '^' && letter(before)) continue;
    if (c == '-' && (letter(before) || before == '^')) continue;
    if (digit(c) && (letter(before) || before == '^' || before == '-')) continue;
    return false;
  }
  return true;
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

QuantityReading convert(double number, std::string_view text, const std::string& unit_text, Dimension dimension) {
  const DimensionText& wanted = text_of(dimension);
  Locked& locked = units();
  const std::lock_guard<std::mutex> hold(locked.mutex);
  const UnitSystem& system = locked.system;
  const Unit unit = plain_unit(unit_text) ? system.parse(unit_text.c_str()) : nullptr;
  if (!unit) {
    return fault(QuantityFault::Kind::unknown_unit, fmt::format("\"{}\" has no unit that is known here", text));
  }
  std::optional<double> factor = system.factor(unit, wanted.si);
  if (!factor && *wanted.also != '\0') factor = system.factor(unit, wanted.also);
  if (!factor) {
    return fault(QuantityFault::Kind::wrong_dimension,
                 fmt::format("\"{}\" is {}, but {} belongs here", text, what_it_is(system, unit), wanted.name));
  }
  const double si = number * *factor;
  if (!std::isfinite(si))
    return fault(QuantityFault::Kind::not_finite, fmt::format("\"{}\" is no number to use", text));
  return {si, {}, 0.0};
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
