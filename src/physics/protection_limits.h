// Fuses, breakers and resettable fuses by what is published: limits at a few multiples of the rating, nothing between.
//
//   One specimen's time to open never rises with the current. So, from cold, with constant current m · rating:
//   earliest(m) = earliest at the next larger tabulated multiple (0 beyond the last)
//   latest(m)   = latest at the next smaller tabulated multiple  (infinite before the first)
//
// Stepwise, never interpolated: the true curve between two points is the maker's secret. A time to open is always an
// interval [earliest, latest]; infinity is a proper value: latest infinite, it may hold; earliest infinite, it holds.
// Ambient: a sheet's factor multiplies the current to be carried when a rating is chosen; so the current at which a
// given part acts is its rating divided by the factor. Holds from cold and for the sheet's mounting, still air.
#pragma once

#include <limits>
#include <span>
#include <string_view>

#include "physics/figure_source.h"
#include "units/quantity.h"

namespace ringout::physics {

// No value known is 0 for the earliest and infinity for the latest.
struct LimitPoint {
  double multiple = 1.0;  // of the rating, > 0, rising in a table
  Time earliest;          // ≥ 0, falling (or level) in a table
  Time latest;            // ≥ earliest, falling (or level)
};

struct OpeningInterval {
  Time earliest;
  Time latest;
};

enum class Verdict { holds, may_open, opens };
// For a load that lasts `how_long` (may be infinite): opens if latest ≤ how_long, holds if earliest > how_long.
[[nodiscard]] Verdict verdict(OpeningInterval opening, Time how_long);

[[nodiscard]] constexpr Time for_ever() {
  return {std::numeric_limits<double>::infinity()};
}

// Rising multiples, times in range and falling? A table that fails this must not be used.
[[nodiscard]] bool is_orderly(std::span<const LimitPoint> table);

// The interval of the equations above for multiple ≥ 0. A multiple within 1e-9 of a tabulated one counts as that one.
[[nodiscard]] OpeningInterval time_to_open(std::span<const LimitPoint> table, double multiple);

struct LimitTable {
  std::string_view name;
  FigureSource source;
  std::span<const LimitPoint> points;
};
// Blade fuses: the limits of automotive blade fuses, 110, 135, 160, 200, 350 and 600 % (second hand).
[[nodiscard]] LimitTable blade_fuse_limits();
// Cartridge fuses of UL 248-14, 135 and 200 %: latest only; the standard has two groups of ratings, up to 30 A and
// above.
[[nodiscard]] LimitTable cartridge_fuse_limits(Current rating);
// Thermal breakers of SAE J553 as recalled: carries 100 %, 1 h at 135 %, 60 s at 200 %.
[[nodiscard]] LimitTable breaker_limits();

struct AmbientFactor {
  Temperature ambient;  // rising
  double factor = 1.0;  // > 0
};
// Linear between the points, held beyond the ends; 1 for an empty table.
[[nodiscard]] double ambient_factor(std::span<const AmbientFactor> table, Temperature ambient);
[[nodiscard]] bool covers(std::span<const AmbientFactor> table, Temperature ambient);
// rating/factor: the current that counts as 100 % at that ambient.
[[nodiscard]] Current effective_rating(Current rating, double factor);

// A resettable fuse as its sheet has it, at the sheet's ambient (usually 23 °C).
struct Resettable {
  Current hold;  // carried for ever, > 0
  Current trip;  // opens, in a time that is not stated; > hold
  Current at;    // … and within `within` at this current or above; ≥ trip
  Time within;
  Power tripped;      // what it takes while it stays hot
  Resistance r_min;   // new
  Resistance r1_max;  // an hour after a trip or soldering
};
// I ≤ hold/factor: holds. I ≥ at/factor: [0, within]. Between: [0, ∞], it may open, and above trip/factor it will, but
// no sheet says when.
[[nodiscard]] OpeningInterval time_to_open(const Resettable& part, Current i, double factor = 1.0);

}  // namespace ringout::physics
