#include "physics/trajectory.h"

#include <doctest/doctest.h>

#include <cmath>

#include "physics/physics_testing.h"

using namespace ringout;
using namespace ringout::physics;
using testing::Chance;

TEST_CASE("way is the area under the speed, and both ends are at rest") {
  Chance chance(51);
  for (int n = 0; n < 200; ++n) {
    CAPTURE(n);
    const Move move = fastest_move(metres(chance.log_between(0.01, 10)), metres_per_second(chance.between(0.05, 2)),
                                   metres_per_second_squared(chance.log_between(0.1, 10)));
    CHECK(at(move, {}).speed.si == 0.0);
    CHECK(at(move, move.total()).way == move.way);
    double area = 0.0;
    constexpr int slices = 4000;
    for (int s = 0; s < slices; ++s) area += at(move, move.total() * ((s + 0.5) / slices)).speed.si;
    CHECK(area * move.total().si / slices == doctest::Approx(move.way.si).epsilon(1e-5));
    const Time before = move.total() * (1.0 - 1e-9);
    CHECK(at(move, before).way.si == doctest::Approx(move.way.si).epsilon(1e-6));
    const auto again = move_in(move.way, move.total() * (1.0 + 1e-12), move.acceleration);
    REQUIRE(again.has_value());
    CHECK(again->peak.si == doctest::Approx(move.peak.si).epsilon(1e-4));
  }
}

TEST_CASE("no time is too short for nothing: a move that cannot be made is none") {
  CHECK(!move_in(metres(1), seconds(1), metres_per_second_squared(3.9)).has_value());
  const auto triangle = move_in(metres(1), seconds(1), metres_per_second_squared(4.0));
  REQUIRE(triangle.has_value());
  CHECK(triangle->peak.si == doctest::Approx(2.0));
  CHECK(triangle->cruise.si == doctest::Approx(0.0));
}
