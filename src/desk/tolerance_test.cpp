#include "desk/tolerance.h"

#include <doctest/doctest.h>

#include <cmath>

#include "desk/case_figures.h"
#include "desk/chance.h"
#include "robot/testing.h"

namespace ringout::desk {
namespace {

// The demonstration robot with these tolerances and no others, its battery's resistance given by one figure.
robot::Robot with(std::vector<robot::Tolerance> tolerances) {
  robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  robot.tolerances = std::move(tolerances);
  for (robot::Device& d : robot.catalogue.devices) {
    if (auto* battery = std::get_if<robot::BatteryDevice>(&d.spec)) battery->internal_at.clear();
  }
  return robot;
}

std::optional<Spread> spread_in(const robot::Robot& robot, const char* name, const DeskOptions& options) {
  CaseSolver solver(robot);
  for (const PlannedCase& planned : load_cases(robot, solver.layout())) {
    if (planned.name == name) return spread_of(robot, solver.layout(), planned, options);
  }
  return std::nullopt;
}

const SpreadFigure& figure(const Spread& spread, const std::string& name) {
  for (const SpreadFigure& f : spread.figures) {
    if (f.name == name) return f;
  }
  FAIL("no figure of that name: ", name);
  return spread.figures.front();
}

}  // namespace

TEST_CASE("one tolerance: the interval is that of the even distribution, its corners those of two solutions") {
  const robot::Robot robot =
      with({{.path = "device.agm_12v_7ah.internal", .half_width = 0.01, .place = {}, .file = {}}});
  const auto spread = spread_in(robot, "drives_stalled", {.draws = 4000});
  REQUIRE(spread);
  CHECK(spread->unsolved == 0);
  const SpreadFigure& f = figure(*spread, "controller voltage");
  REQUIRE(f.interval.corner_low);
  // Nearly linear in one even input: 95 % of the draws lie within 95 % of the width.
  const double width = *f.interval.corner_high - *f.interval.corner_low;
  CHECK(f.interval.high - f.interval.low == doctest::Approx(0.95 * width).epsilon(0.02));
  CHECK(f.interval.least >= *f.interval.corner_low - 1e-9);
  CHECK(f.interval.most <= *f.interval.corner_high + 1e-9);
  REQUIRE_FALSE(f.drivers.empty());
  CHECK(f.drivers[0].correlation == doctest::Approx(-1.0).epsilon(1e-3));  // draws stand for their own ranks
  CHECK(f.drivers[0].share == doctest::Approx(1.0));
}

TEST_CASE("the ranking names the input that moves the figure most, and draws repeat with their seed") {
  const robot::Robot robot = with({{.path = "output.belt.wire.length", .half_width = 0.01, .place = {}, .file = {}},
                                   {.path = "device.agm_12v_7ah.internal", .half_width = 0.01, .place = {}, .file = {}},
                                   {.path = "battery.wire.length", .half_width = 0.02, .place = {}, .file = {}}});
  const auto once = spread_in(robot, "drives_stalled", {.seed = 7, .draws = 500});
  const auto again = spread_in(robot, "drives_stalled", {.seed = 7, .draws = 500});
  const auto other = spread_in(robot, "drives_stalled", {.seed = 8, .draws = 500});
  REQUIRE(once);
  const SpreadFigure& f = figure(*once, "controller voltage");
  CHECK(f.drivers[0].tolerance == 1);
  CHECK(f.drivers[0].share > 0.8);
  CHECK(f.interval.low == figure(*again, "controller voltage").interval.low);
  CHECK(f.interval.low != figure(*other, "controller voltage").interval.low);
}

TEST_CASE("without tolerances or draws there is no spread") {
  CHECK_FALSE(spread_in(with({}), "drives_stalled", {}));
}

TEST_CASE("rank correlation: order alone counts, ties take their mean rank") {
  CHECK(rank_correlation({1, 2, 3, 4}, {1, 10, 100, 1000}) == doctest::Approx(1.0));
  CHECK(rank_correlation({1, 2, 3, 4}, {4, 3, 2, 1}) == doctest::Approx(-1.0));
  CHECK(rank_correlation({1, 2, 3, 4}, {5, 5, 5, 5}) == 0.0);
  // Spearman's ρ = 1 − 6·Σd²/(n·(n² − 1)) without ties: d = 0, 1, −1, 0, 0.
  CHECK(rank_correlation({1, 2, 3, 4, 5}, {1, 3, 2, 4, 5}) == doctest::Approx(1.0 - 6.0 * 2.0 / (5.0 * 24.0)));
}

TEST_CASE("chance is even over -1 to 1") {
  Chance chance(1);
  double sum = 0.0, square = 0.0;
  constexpr int n = 100'000;
  for (int k = 0; k < n; ++k) {
    const double x = chance.next();
    REQUIRE(x >= -1.0);
    REQUIRE(x < 1.0);
    sum += x;
    square += x * x;
  }
  CHECK(std::abs(sum / n) < 0.01);
  CHECK(square / n == doctest::Approx(1.0 / 3.0).epsilon(0.01));
}

}  // namespace ringout::desk
