// Protection curves: one specimen's first-order heating must lie within the wide limits that makers print. The blade
// fuse limits are read-2nd and the model is typical by design, so these checks say plausible, no more.
#include <doctest/doctest.h>

#include <cmath>

#include "physics/protection.h"

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
