#include "robot/unit_system.h"

#include <utility>

#include "base/check.h"
#include "units/quantity.h"

namespace ringout::robot {

namespace {

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

bool letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool digit(char c) {
  return c >= '0' && c <= '9';
}

bool plain_unit(std::string_view unit) {
  if (unit.empty() || unit.size() > longest_unit) return false;
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

}  // namespace

UnitSystem::UnitSystem() : system_(ut_new_system()) {
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

Unit UnitSystem::parse_plain(const std::string& text) const {
  return plain_unit(text) ? parse(text.c_str()) : nullptr;
}

std::optional<double> UnitSystem::factor(const Unit& from, const char* to_text) const {
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

LockedUnits& locked_units() {
  static LockedUnits locked;
  return locked;
}

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

}  // namespace ringout::robot
