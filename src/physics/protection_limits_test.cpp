#include "physics/protection_limits.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include "physics/physics_testing.h"
#include "physics/protection_duty.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;

namespace {

// A maker's own table that names no current carried for ever.
constexpr std::array<LimitPoint, 3> none_carried = {
    {{1.00, seconds(3600), for_ever()}, {1.35, seconds(10), seconds(3600)}, {2.00, seconds(5), seconds(60)}}};
const std::vector<LimitTable> all_tables = {
    blade_fuse_limits(),
    cartridge_fuse_limits(amperes(10)),
    cartridge_fuse_limits(amperes(40)),
    breaker_limits(),
    {.name = "none carried", .source = {"made up for this test", Mark::memory}, .points = none_carried}};

// One specimen of first order within the table, by rejection; nothing when none is met.
std::optional<HeatedElement> specimen(std::span<const LimitPoint> table, Chance& chance) {
  for (int n = 0; n < 3000; ++n) {
    const HeatedElement one = {.boundary = chance.between(1.0, table.back().multiple),
                               .constant = seconds(chance.log_between(1e-3, 3e4))};
    bool within = true;
    for (const LimitPoint& p : table) {
      const Time t = time_to_open(one, p.multiple);
      within = within && t >= p.earliest && t <= p.latest;
    }
    if (within) return one;
  }
  return std::nullopt;
}

// Opening of one specimen under a repeated cycle, stepped finely and found inside the step; infinite beyond `until`.
double opens_at(const HeatedElement& one, double rating, std::span<const CurrentStep> cycle, double until) {
  double x = 0.0;
  for (double t = 0.0; t < until;) {
    for (const CurrentStep& step : cycle) {
      const double load = step.current.si / rating / one.boundary;
      const double end = load * load;
      const double after = end + (x - end) * std::exp(-step.duration.si / one.constant.si);
      if (after >= 1.0) return t + one.constant.si * std::log((end - x) / (end - 1.0));
      x = after;
      t += step.duration.si;
    }
  }
  return HUGE_VAL;
}

}  // namespace

TEST_CASE("a larger current never opens later, neither at the earliest nor at the latest") {
  Chance chance(21);
  for (const LimitTable& table : all_tables) {
    CAPTURE(table.name);
    REQUIRE(is_orderly(table.points));
    for (int n = 0; n < 2000; ++n) {
      const double low = chance.log_between(0.1, 20);
      const double high = low * chance.between(1.0, 3.0);
      const OpeningInterval a = time_to_open(table.points, low);
      const OpeningInterval b = time_to_open(table.points, high);
      CHECK(a.earliest <= a.latest);
      CHECK(b.earliest <= a.earliest);
      CHECK(b.latest <= a.latest);
    }
  }
}

TEST_CASE("stepwise between points, at a point its own limits, infinity where nothing is said") {
  const auto blade = blade_fuse_limits().points;
  const auto interval = [&](double multiple) { return time_to_open(blade, multiple); };
  CHECK(interval(1.35).earliest == seconds(0.75));
  CHECK(interval(1.35).latest == seconds(600));
  CHECK(interval(13.5 / 10.0).latest == seconds(600));
  CHECK(interval(1.34).earliest == seconds(0.75));  // not before what 135 % allows
  CHECK(std::isinf(interval(1.34).latest.si));      // 110 % promises no end
  CHECK(interval(1.5).earliest == seconds(0.25));
  CHECK(interval(1.5).latest == seconds(600));
  CHECK(interval(0.9).earliest == seconds(360'000));
  CHECK(interval(20).earliest == seconds(0));
  CHECK(interval(20).latest == seconds(0.15));
  CHECK(std::isinf(time_to_open(breaker_limits().points, 1.0).earliest.si));
  CHECK(time_to_open(std::span<const LimitPoint>{}, 5.0).earliest == seconds(0));
  CHECK(std::isinf(time_to_open(std::span<const LimitPoint>{}, 5.0).latest.si));
}

TEST_CASE("verdicts on a load of a given length") {
  const OpeningInterval i = {seconds(0.75), seconds(600)};
  CHECK(verdict(i, seconds(0.5)) == Verdict::holds);
  CHECK(verdict(i, seconds(10)) == Verdict::may_open);
  CHECK(verdict(i, seconds(600)) == Verdict::opens);
  CHECK(verdict({for_ever(), for_ever()}, for_ever()) == Verdict::holds);
  CHECK(verdict({seconds(0), for_ever()}, for_ever()) == Verdict::may_open);
}

TEST_CASE("a disorderly table is known as such") {
  const std::array<LimitPoint, 2> falling = {{{2.0, seconds(1), seconds(2)}, {1.5, seconds(0.5), seconds(1)}}};
  const std::array<LimitPoint, 2> slower = {{{1.5, seconds(1), seconds(2)}, {2.0, seconds(0.5), seconds(3)}}};
  const std::array<LimitPoint, 1> crossed = {{{1.5, seconds(3), seconds(2)}}};
  CHECK(!is_orderly(falling));
  CHECK(!is_orderly(slower));
  CHECK(!is_orderly(crossed));
}

TEST_CASE("the two elements enclose their table") {
  for (const LimitTable& table : all_tables) {
    CAPTURE(table.name);
    const BoundingElements e = bounding_elements(table.points);
    CHECK(e.slow.boundary >= e.fast.boundary);
    CHECK(e.slow.constant >= e.fast.constant);
    for (const LimitPoint& p : table.points) {
      CAPTURE(p.multiple);
      if (p.earliest < seconds(360'000)) CHECK(time_to_open(e.fast, p.multiple) <= p.earliest * (1 + 1e-12));
      if (std::isfinite(p.latest.si)) CHECK(time_to_open(e.slow, p.multiple) >= p.latest * (1 - 1e-12));
    }
  }
}

TEST_CASE("a constant current through the duty model stays within what the table says") {
  for (const LimitTable& table : all_tables) {
    for (const double multiple : {0.5, 1.0, 1.2, 1.35, 1.5, 2.0, 2.7, 3.5, 6.0, 10.0}) {
      CAPTURE(table.name);
      CAPTURE(multiple);
      const CurrentStep steady[] = {{amperes(10 * multiple), seconds(7)}};
      const OpeningInterval by_duty = time_to_open(table.points, amperes(10), steady);
      const OpeningInterval by_table = time_to_open(table.points, multiple);
      CHECK(by_duty.latest <= by_table.latest);
      if (by_table.earliest < seconds(360'000)) CHECK(by_duty.earliest >= by_table.earliest);
    }
  }
}

// The property that matters: whatever specimen is in the holder, it opens within the interval.
TEST_CASE("random specimens within the table open within the interval under random duty") {
  Chance chance(22);
  int opened = 0;
  int held = 0;
  for (const LimitTable& table : all_tables) {
    CAPTURE(table.name);
    for (int n = 0; n < 60; ++n) {
      const auto one = specimen(table.points, chance);
      if (!one) continue;
      std::vector<CurrentStep> cycle;
      for (int step = 0; step < 3; ++step)
        cycle.push_back({amperes(10 * chance.between(0.0, 2.6)), seconds(chance.log_between(0.05, 200))});
      const OpeningInterval opening = time_to_open(table.points, amperes(10), cycle);
      const ThermalShare peak = settled_peak(bounding_elements(table.points), amperes(10), cycle);
      CHECK(peak.fast >= peak.slow * (1.0 - 1e-12));
      const double length = (cycle[0].duration + cycle[1].duration + cycle[2].duration).si;
      const double until = std::max(2000.0 * length, std::isfinite(opening.latest.si) ? 2 * opening.latest.si : 0.0);
      const double t = opens_at(*one, 10.0, cycle, until);
      CAPTURE(n);
      CAPTURE(t);
      CHECK(opening.earliest.si <= t * (1 + 1e-9));
      CHECK(opening.latest.si >= std::min(t, until) * (1 - 1e-9));
      ++(std::isfinite(t) ? opened : held);
    }
  }
  CHECK(opened > 30);
  CHECK(held > 30);
}

TEST_CASE("pulses: short ones hold where the same current for long opens") {
  const auto blade = blade_fuse_limits().points;
  const CurrentStep rare[] = {{amperes(20), seconds(0.02)}, {amperes(0), seconds(5)}};
  CHECK(std::isinf(time_to_open(blade, amperes(10), rare).earliest.si));
  const CurrentStep steady[] = {{amperes(20), seconds(0.02)}};
  CHECK(time_to_open(blade, amperes(10), steady).latest == seconds(5));
  // Warmed by 12 A a fuse of 10 A opens earlier on the same pulse: the state counts, not the pulse alone.
  const CurrentStep warm[] = {{amperes(20), seconds(0.1)}, {amperes(12), seconds(5)}};
  CHECK(time_to_open(blade, amperes(10), warm).earliest < for_ever());
  const BoundingElements e = bounding_elements(blade);
  CHECK(settled_peak(e, amperes(10), rare).fast < 1.0);
  CHECK(settled_peak(e, amperes(10), warm).fast > 1.0);
  CHECK(settled_peak(e, amperes(10), warm).slow < settled_peak(e, amperes(10), warm).fast);
}

TEST_CASE("what stays above a tabulated multiple for its latest time has opened, in however many steps") {
  const auto blade = blade_fuse_limits().points;
  const CurrentStep above[] = {
      {amperes(0), seconds(2)}, {amperes(20), seconds(3)}, {amperes(25), seconds(3)}, {amperes(0), seconds(20)}};
  CHECK(time_to_open(blade, amperes(10), above).latest == seconds(2 + 5));
  const CurrentStep split[] = {{amperes(20), seconds(3)}, {amperes(0), seconds(20)}, {amperes(25), seconds(3)}};
  CHECK(time_to_open(blade, amperes(10), split).latest == seconds(23 + 5));  // the last and the next cycle's first
}

// A table of one limit lets many specimens pass: one of high boundary and small time constant opens first on a hard
// pulse.
TEST_CASE("the fast element is faster than any specimen within the table, not just at its points") {
  const std::array<LimitPoint, 2> one_limit = {{{1.10, for_ever(), for_ever()}, {1.35, seconds(0.75), seconds(600)}}};
  const HeatedElement nimble = {.boundary = 1.3, .constant = seconds(0.3)};
  REQUIRE(time_to_open(nimble, 1.35) >= seconds(0.75));
  const CurrentStep hard[] = {{amperes(50), seconds(0.1)}, {amperes(0), seconds(10)}};
  CHECK(time_to_open(one_limit, amperes(10), hard).earliest <= time_to_open(nimble, 5.0));
  CHECK(bounding_elements(one_limit).fast.constant < nimble.constant);
}

TEST_CASE("ambient: the rating is divided by the factor, and shrinks as it gets warm") {
  const std::array<AmbientFactor, 3> table = {{{celsius(0), 0.88}, {celsius(23), 1.0}, {celsius(50), 1.19}}};
  CHECK(ambient_factor(table, celsius(23)) == 1.0);
  CHECK(ambient_factor(table, celsius(36.5)) == doctest::Approx(1.095));
  CHECK(ambient_factor(table, celsius(90)) == 1.19);
  CHECK(!covers(table, celsius(90)));
  CHECK(covers(table, celsius(0)));
  CHECK(ambient_factor(std::span<const AmbientFactor>{}, celsius(90)) == 1.0);
  CHECK(effective_rating(amperes(30), 1.19).in(amperes(1)) == doctest::Approx(25.21).epsilon(1e-3));
}

TEST_CASE("a resettable fuse: holds, may open, opens within") {
  const Resettable part = {.hold = amperes(0.75),
                           .trip = amperes(1.30),
                           .at = amperes(8),
                           .within = seconds(0.4),
                           .tripped = watts(0.3),
                           .r_min = ohms(0.08),
                           .r1_max = ohms(0.23)};
  CHECK(std::isinf(time_to_open(part, amperes(0.75)).earliest.si));
  CHECK(time_to_open(part, amperes(1.0)).earliest == seconds(0));
  CHECK(std::isinf(time_to_open(part, amperes(1.0)).latest.si));
  CHECK(std::isinf(time_to_open(part, amperes(7.9)).latest.si));
  CHECK(time_to_open(part, amperes(-8.0)).latest == seconds(0.4));
  CHECK(time_to_open(part, amperes(0.7), 1.2).earliest == seconds(0));  // warm: holds 0.625 A
}
