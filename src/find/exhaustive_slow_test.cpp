// As the first case of optimum_test.cpp, on larger cases: tens of seconds.
#include <doctest/doctest.h>

#include "find/exhaustive_testing.h"
#include "find/optimum.h"
#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

TEST_CASE("the optimum is what trying everything finds, on larger random cases") {
  for (std::uint32_t seed = 1; seed <= 150; ++seed) {
    CAPTURE(seed);
    const Case c(random_case(seed, {4, 3, 3}));
    OptimumSearch search(c.space, {});
    const OptimumSearch::Bounds b = search.solve(c.space.start(), 300'000);
    REQUIRE(b.closed());
    REQUIRE(b.upper == doctest::Approx(exhaustive_optimum(c.model)).epsilon(1e-7));
  }
}

}  // namespace
