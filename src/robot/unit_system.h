// The units that files may hold, in a unit system of our own (docs/decisions/0002-unit-text.md); inner to robot.
#pragma once

#include <udunits2.h>

#include <cstddef>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace ringout::robot {

struct UnitFree {
  void operator()(ut_unit* unit) const { ut_free(unit); }
};
using Unit = std::unique_ptr<ut_unit, UnitFree>;

constexpr std::size_t longest_unit = 32;

// Built by program in some 50 µs; the library's XML takes 6 ms to read and has no radian dimension.
class UnitSystem {
 public:
  UnitSystem();
  ~UnitSystem() { ut_free_system(system_); }
  UnitSystem(const UnitSystem&) = delete;
  UnitSystem& operator=(const UnitSystem&) = delete;

  [[nodiscard]] Unit parse(const char* text) const { return Unit(ut_parse(system_, text, UT_ASCII)); }
  // What a person wrote, in ASCII; null where it is no plain unit: letters, "*", "/", "^", blanks, and exponents of one
  // digit. The library's grammar also knows dates, logarithms and offsets, and none of them belongs in a robot file.
  [[nodiscard]] Unit parse_plain(const std::string& text) const;
  // How many of `to` one `from` is, where both have the very same dimension. The library by itself also takes a unit
  // for its reciprocal (s for Hz), hence the quotient.
  [[nodiscard]] std::optional<double> factor(const Unit& from, const char* to_text) const;

 private:
  ut_system* system_;
};

// The library's parser keeps its state in globals, so it is entered by one thread at a time.
struct LockedUnits {
  std::mutex mutex;
  UnitSystem system;
};
[[nodiscard]] LockedUnits& locked_units();

// µ, Ω, °, ·, ², ³ in ASCII, so that the library's own reading of text encodings does not matter.
[[nodiscard]] std::string in_ascii(std::string_view text);

}  // namespace ringout::robot
