#include "desk/openings.h"

#include <doctest/doctest.h>

#include <limits>

namespace ringout::desk {
namespace {

constexpr Time for_ever{std::numeric_limits<double>::infinity()};
constexpr TripInterval may{{0.75}, for_ever}, sure{{0.02}, {0.5}}, never{for_ever, for_ever};

CaseReport load_case(const char* name, std::vector<ProtectionFigures> protections) {
  return {.name = name, .protections = std::move(protections)};
}
ProtectionFigures loaded(double multiple, TripInterval trip) {
  return {.current = amperes(10 * multiple), .multiple = multiple, .trip = trip};
}

}  // namespace

TEST_CASE("what opens first is looked for in every case, whatever its name and place in the file") {
  DeskReport r;
  r.cases = {load_case("first_in_file", {loaded(1.4, may), loaded(0.2, never)}),
             load_case("drives_stalled", {loaded(1.5, may), loaded(0.3, never)}),
             load_case("another", {loaded(0.4, never), loaded(4.0, sure)})};
  const std::vector<Opening> all = openings(r);
  REQUIRE(all.size() == 3);
  CHECK(all[0].load_case->name == "another");
  CHECK(all[0].protection == 1);
  CHECK(all[1].load_case->name == "drives_stalled");  // of two alike, the one that is loaded more
}

TEST_CASE("where none surely opens, the earliest within the tolerances goes first") {
  DeskReport r;
  const TripInterval late{{3.6e5}, for_ever};
  r.cases = {load_case("drives_stalled", {loaded(1.09, late)}), load_case("all_on", {loaded(1.05, never)})};
  r.ranges = {{.what = RangeOf::case_multiple, .of = 1, .part = 0, .opens = may}};
  const std::vector<Opening> all = openings(r);
  REQUIRE(all.size() == 2);
  CHECK(all[0].load_case->name == "all_on");
  CHECK(all[0].within.earliest == may.earliest);
  CHECK(all[0].trip.earliest == for_ever);
}

TEST_CASE("a motor held still alone counts, a case without a solution does not") {
  DeskReport r;
  r.cases = {load_case("spoilt", {loaded(4.0, sure)}), load_case("holds", {loaded(0.5, never)})};
  r.cases[0].unsolved = Error{};
  r.branch_stalls = {{.output = 2, .first_to_open = 0, .trip = may, .multiples = {1.4}}};
  const std::vector<Opening> all = openings(r);
  REQUIRE(all.size() == 1);
  CHECK(all[0].load_case == nullptr);
  CHECK(all[0].stall->output == 2);
}

}  // namespace ringout::desk
