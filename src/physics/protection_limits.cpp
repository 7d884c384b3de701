#include "physics/protection_limits.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/check.h"
#include "physics/held_line.h"

namespace ringout::physics {
namespace {

constexpr double same = 1e-9;
constexpr Time unknown_earliest = seconds(0);

constexpr std::array<LimitPoint, 6> blade = {{{1.10, seconds(360'000), for_ever()},
                                              {1.35, seconds(0.75), seconds(600)},
                                              {1.60, seconds(0.25), seconds(50)},
                                              {2.00, seconds(0.15), seconds(5)},
                                              {3.50, seconds(0.08), seconds(0.5)},
                                              {6.00, seconds(0.03), seconds(0.15)}}};
constexpr std::array<LimitPoint, 3> small_cartridge = {
    {{1.00, for_ever(), for_ever()}, {1.35, unknown_earliest, seconds(3600)}, {2.00, unknown_earliest, seconds(120)}}};
constexpr std::array<LimitPoint, 3> large_cartridge = {
    {{1.00, for_ever(), for_ever()}, {1.35, unknown_earliest, seconds(3600)}, {2.00, unknown_earliest, seconds(240)}}};
constexpr std::array<LimitPoint, 3> breaker = {
    {{1.00, for_ever(), for_ever()}, {1.35, unknown_earliest, seconds(3600)}, {2.00, unknown_earliest, seconds(60)}}};

}  // namespace

Verdict verdict(OpeningInterval opening, Time how_long) {
  if (std::isfinite(opening.latest.si) && opening.latest <= how_long) return Verdict::opens;
  if (!std::isfinite(opening.earliest.si) || opening.earliest > how_long) return Verdict::holds;
  return Verdict::may_open;
}

bool is_orderly(std::span<const LimitPoint> table) {
  for (std::size_t n = 0; n < table.size(); ++n) {
    const LimitPoint& p = table[n];
    if (!(p.multiple > 0.0) || !(p.earliest.si >= 0.0) || !(p.latest >= p.earliest)) return false;
    if (n == 0) continue;
    const LimitPoint& before = table[n - 1];
    if (p.multiple <= before.multiple * (1.0 + same) || p.earliest > before.earliest || p.latest > before.latest)
      return false;
  }
  return true;
}

OpeningInterval time_to_open(std::span<const LimitPoint> table, double multiple) {
  RINGOUT_CHECK(multiple >= 0.0);
  OpeningInterval opening{.earliest = unknown_earliest, .latest = for_ever()};
  for (const LimitPoint& p : table) {
    if (p.multiple <= multiple * (1.0 + same)) opening.latest = std::min(opening.latest, p.latest);
    if (p.multiple >= multiple * (1.0 - same)) opening.earliest = std::max(opening.earliest, p.earliest);
  }
  return opening;
}

LimitTable blade_fuse_limits() {
  return {
      .name = "blade fuse",
      .source = {"limits of automotive blade fuses (Littelfuse ATO 257, ATOF 287, MINI 297; class of ISO 8820-3) as "
                 "transcribed by others; at 600 % the wider of two",
                 Mark::second_hand},
      .points = blade};
}

LimitTable cartridge_fuse_limits(Current rating) {
  RINGOUT_CHECK(rating.si > 0.0);
  return {.name = "cartridge fuse",
          .source = {"UL 248-14 as in the Littelfuse Fuseology Selection Guide", Mark::read},
          .points = rating <= amperes(30) ? std::span<const LimitPoint>(small_cartridge) : large_cartridge};
}

LimitTable breaker_limits() {
  return {.name = "thermal breaker",
          .source = {"SAE J553 as recalled, not seen: use the maker's sheet", Mark::memory},
          .points = breaker};
}

double ambient_factor(std::span<const AmbientFactor> table, Temperature ambient) {
  if (table.empty()) return 1.0;
  return held_line(
      table, ambient.si, [](const AmbientFactor& p) { return p.ambient.si; },
      [](const AmbientFactor& p) { return p.factor; });
}

bool covers(std::span<const AmbientFactor> table, Temperature ambient) {
  return !table.empty() && ambient >= table.front().ambient && ambient <= table.back().ambient;
}

Current effective_rating(Current rating, double factor) {
  RINGOUT_CHECK(factor > 0.0);
  return rating / factor;
}

OpeningInterval time_to_open(const Resettable& part, Current i, double factor) {
  RINGOUT_CHECK(part.hold.si > 0.0 && part.trip > part.hold && part.at >= part.trip && part.within.si > 0.0);
  const double amps = std::abs(i.si);
  const auto reaches = [&](Current limit) { return amps >= effective_rating(limit, factor).si * (1.0 - same); };
  if (amps <= effective_rating(part.hold, factor).si * (1.0 + same)) return {for_ever(), for_ever()};
  return {unknown_earliest, reaches(part.at) ? part.within : for_ever()};
}

}  // namespace ringout::physics
