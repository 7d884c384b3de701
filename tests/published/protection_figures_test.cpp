// Protection curves: one specimen's first-order heating must lie within the wide limits that makers print. The blade
// fuse limits are read-2nd and the model is typical by design, so these checks say plausible, no more.
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include "physics/protection.h"
#include "physics/protection_limits.h"

using namespace ringout;
using namespace ringout::physics;

// Littelfuse ATO 257, 20 A (read-2nd): 110 % ≥ 100 h, 135 % 0.75 … 600 s, 200 % 0.15 … 5 s, 350 % 0.08 … 0.5 s;
// melting I²t 520 A²s.
TEST_CASE("plausible: a 20 A blade fuse opens within the printed limits") {
  const ProtectionCurve fuse = fuse_curve(amperes(20), ampere_squared_seconds(520));
  CHECK(std::isinf(time_to_open(fuse, amperes(22)).si));
  const double limits[][3] = {{1.35, 0.75, 600}, {2.0, 0.15, 5}, {3.5, 0.08, 0.5}};
  for (const auto& limit : limits) {
    CAPTURE(limit[0]);
    const double t = time_to_open(fuse, amperes(20 * limit[0])).si;
    CHECK(t >= limit[1]);
    CHECK(t <= limit[2]);
  }
  // A very large current melts it by its I²t alone.
  const double fast = time_to_open(fuse, amperes(2000)).si;
  CHECK(2000.0 * 2000.0 * fast == doctest::Approx(520.0).epsilon(0.001));
}

// Bel 0ZRG (read): hold, trip, longest time at a current; Bourns MF-R075 (read) at 5 × hold. One time constant stands
// for a family, so the time is only of the order of the printed limit: within a factor of four.
TEST_CASE("plausible: resettable fuses hold their hold current and open in the printed order of time") {
  struct Row {
    const char* name;
    double hold, trip, amps, longest;
  };
  const Row rows[] = {{"0ZRG0075", 0.75, 1.30, 8.0, 0.4},  {"0ZRG0110", 1.10, 2.20, 8.0, 2.3},
                      {"0ZRG0135", 1.35, 2.70, 8.0, 4.5},  {"0ZRG0155", 1.55, 2.70, 7.8, 2.2},
                      {"0ZRG0185", 1.85, 3.70, 8.0, 10.0}, {"0ZRG0250", 2.50, 5.00, 8.0, 40.0},
                      {"MF-R075", 0.75, 1.50, 3.75, 6.3}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const ProtectionCurve curve = resettable_curve(amperes(row.hold), amperes(row.trip));
    CHECK(std::isinf(time_to_open(curve, amperes(row.hold)).si));
    CHECK(std::isfinite(time_to_open(curve, amperes(row.trip)).si));
    const double t = time_to_open(curve, amperes(row.amps)).si;
    CHECK(t < 4.0 * row.longest);
    CHECK(t > row.longest / 4.0);
  }
}

// SAE J553 as recalled (memory, unverified): carries 100 %, opens within an hour at 135 %, within 60 s at 200 %.
TEST_CASE("plausible: a thermal breaker") {
  const ProtectionCurve breaker = breaker_curve(amperes(30));
  CHECK(std::isinf(time_to_open(breaker, amperes(30)).si));
  CHECK(time_to_open(breaker, amperes(40.5)).si < 3600.0);
  CHECK(time_to_open(breaker, amperes(60)).si < 60.0);
}

TEST_CASE("heating step by step opens when the closed form says") {
  const ProtectionCurve fuse = fuse_curve(amperes(10), ampere_squared_seconds(115));
  const double opens = time_to_open(fuse, amperes(18)).si;
  double x = 0.0;
  double t = 0.0;
  while (x < 1.0) {
    x = heated(fuse, x, amperes(18), milliseconds(0.1));
    t += 1e-4;
  }
  CHECK(std::abs(t - opens) <= 2e-4);
  CHECK(heated(fuse, 1.0, amperes(0), 3.0 * fuse.constant) == doctest::Approx(std::exp(-3.0)));
}

// e1: five families of blade fuses as transcribed by others, read-2nd: plausibility only. What each promises must lie
// within the built-in limits, so that these are true of all of them. Infinity: not stated.
TEST_CASE("plausible: the built-in blade fuse limits are no narrower than any transcribed family") {
  constexpr double none = HUGE_VAL;
  struct Row {
    const char* family;
    double multiple, earliest, latest;
  };
  const std::vector<Row> rows = {
      {"0997, 10 A", 1.35, 0.75, 600},  {"0997, 10 A", 2.0, 0.15, 5},      {"0997, 10 A", 3.5, 0.08, 0.5},
      {"0997, 10 A", 6.0, 0.03, 0.1},   {"0997, 10 A", 1.1, 360000, none}, {"MINI 297", 1.1, 360000, none},
      {"MINI 297", 1.35, 0.75, 600},    {"ATO 257", 1.1, 360000, none},    {"ATO 257", 1.35, 0.75, 600},
      {"ATO 257", 2.0, 0.15, 5},        {"ATO 257", 3.5, 0.08, 0.5},       {"ATOF 287, 10 A", 1.6, 0.25, 50},
      {"ATOF 287, 10 A", 2.0, 0.15, 5}, {"ATOF 287, 40 A", 3.5, 0.08, 0.5}};
  const LimitTable blade = blade_fuse_limits();
  CHECK(blade.source.mark == Mark::second_hand);
  for (const Row& row : rows) {
    CAPTURE(row.family);
    CAPTURE(row.multiple);
    const OpeningInterval ours = time_to_open(blade.points, row.multiple);
    CHECK(ours.earliest.si <= row.earliest);
    CHECK(ours.latest.si >= row.latest);
  }
  // ATOF 287 of 35 and 40 A: at most 0.15 s at 600 %.
  CHECK(time_to_open(blade.points, 6.0).latest.si >= 0.15);
}

// UL 248-14 as in the Littelfuse Fuseology Selection Guide (read): at most 1 h at 135 %; at 200 % at most 2 min up to
// 30 A, 4 min from 35 to 60 A. No earliest is stated.
TEST_CASE("e1: cartridge fuses") {
  const LimitTable small = cartridge_fuse_limits(amperes(30));
  const LimitTable large = cartridge_fuse_limits(amperes(35));
  CHECK(small.source.mark == Mark::read);
  CHECK(time_to_open(small.points, 1.35).latest == seconds(3600));
  CHECK(time_to_open(small.points, 2.0).latest == seconds(120));
  CHECK(time_to_open(large.points, 2.0).latest == seconds(240));
  CHECK(time_to_open(small.points, 1.2).earliest == seconds(0));
}

// e3: E-T-A 2210-T2 sheet p. 6 (read). The factor multiplies the current to be carried when a rating is chosen; a given
// part therefore acts at rating / factor: less in the heat, more in the cold.
TEST_CASE("e3: ambient factors of a thermal breaker") {
  const std::array<AmbientFactor, 9> sheet = {{{celsius(-30), 0.76},
                                               {celsius(-20), 0.79},
                                               {celsius(-10), 0.83},
                                               {celsius(0), 0.88},
                                               {celsius(23), 1.0},
                                               {celsius(30), 1.04},
                                               {celsius(40), 1.11},
                                               {celsius(50), 1.19},
                                               {celsius(60), 1.29}}};
  for (const AmbientFactor& row : sheet) CHECK(ambient_factor(sheet, row.ambient) == row.factor);
  CHECK(effective_rating(amperes(10), ambient_factor(sheet, celsius(60))).si == doctest::Approx(7.752).epsilon(1e-4));
  CHECK(effective_rating(amperes(10), ambient_factor(sheet, celsius(-20))).si == doctest::Approx(12.66).epsilon(1e-3));
  Current before = amperes(1e9);
  for (double t = -30; t <= 60; t += 1) {
    const Current now = effective_rating(amperes(10), ambient_factor(sheet, celsius(t)));
    CHECK(now <= before);
    before = now;
  }
}

// e1: Littelfuse MAXI 40 A rerating (read-2nd, plausibility): 40 A to 20 °C, 34 at 65, 30 at 85, 25 at 110, 22 at 125.
// A sheet that prints currents gives the factor as rating over current.
TEST_CASE("plausible: rerating printed as currents") {
  const std::array<AmbientFactor, 5> sheet = {{{celsius(20), 1.0},
                                               {celsius(65), 40.0 / 34},
                                               {celsius(85), 40.0 / 30},
                                               {celsius(110), 40.0 / 25},
                                               {celsius(125), 40.0 / 22}}};
  CHECK(effective_rating(amperes(40), ambient_factor(sheet, celsius(85))).si == doctest::Approx(30));
  CHECK(effective_rating(amperes(40), ambient_factor(sheet, celsius(-40))).si == doctest::Approx(40));
}
