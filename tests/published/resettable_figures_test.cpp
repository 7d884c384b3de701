// Resettable fuses against printed sheets, 23 °C, still air; mark: read. What a sheet promises is a hold current, a
// trip current and a greatest time at one current, and that is what the model may say, no more.
#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "physics/protection_limits.h"

using namespace ringout;
using namespace ringout::physics;

namespace {

struct Row {
  const char* name;
  double hold, trip, at, within, watts, r_min, r1_max;
};

// Bel 0ZRG, 16/30 V, 40 A: pdf.datasheet.live copy of belfuse.com sheet.
const std::vector<Row> bel_0zrg = {
    {"0075", 0.75, 1.30, 8.0, 0.4, 0.3, 0.08, 0.23}, {"0110", 1.10, 2.20, 8.0, 2.3, 0.7, 0.05, 0.14},
    {"0120", 1.20, 2.00, 8.0, 0.7, 0.6, 0.04, 0.14}, {"0135", 1.35, 2.70, 8.0, 4.5, 0.8, 0.04, 0.12},
    {"0155", 1.55, 2.70, 7.8, 2.2, 0.7, 0.03, 0.12}, {"0185", 1.85, 3.70, 8.0, 10.0, 1.0, 0.03, 0.09},
    {"0250", 2.50, 5.00, 8.0, 40.0, 1.2, 0.02, 0.07}};
// Bel 0ZRA, 16 V, 100 A, at five times hold: en.eeworld.com copy. It prints no least resistance: 0 here.
const std::vector<Row> bel_0zra = {{"3", 3, 5.1, 15, 2.0, 2.3, 0, .105},     {"4", 4, 6.8, 20, 3.5, 2.4, 0, .063},
                                   {"5", 5, 8.5, 25, 3.6, 2.6, 0, .044},     {"6", 6, 10.2, 30, 5.8, 2.8, 0, .033},
                                   {"7", 7, 11.9, 35, 8.0, 3.0, 0, .021},    {"8", 8, 13.6, 40, 9.0, 3.0, 0, .018},
                                   {"9", 9, 15.3, 45, 12.0, 3.3, 0, .015},   {"10", 10, 17.0, 50, 12.5, 3.3, 0, .012},
                                   {"11", 11, 18.7, 55, 13.5, 3.7, 0, .010}, {"12", 12, 20.4, 60, 16.0, 4.2, 0, .009},
                                   {"14", 14, 23.8, 70, 20.0, 4.6, 0, .008}};
// Bourns MF-R, 60 V, 40 A, at five times hold (005: at 0.5 A, ten times): Digi-Key copy.
const std::vector<Row> bourns = {
    {"005", .05, .10, .5, 5.0, .22, 7.3, 22.0},    {"010", .10, .20, .5, 4.0, .38, 2.50, 7.50},
    {"017", .17, .34, .85, 3.0, .48, 2.00, 8.00},  {"020", .20, .40, 1.0, 2.2, .40, 1.50, 4.40},
    {"025", .25, .50, 1.25, 2.5, .45, 1.00, 3.00}, {"030", .30, .60, 1.5, 3.0, .50, .76, 2.10},
    {"040", .40, .80, 2.0, 3.8, .55, .52, 1.29},   {"050", .50, 1.00, 2.5, 4.0, .75, .41, 1.17},
    {"065", .65, 1.30, 3.25, 5.3, .90, .27, .72},  {"075", .75, 1.50, 3.75, 6.3, .90, .18, .60},
    {"090", .90, 1.80, 4.5, 7.2, 1.00, .14, .47}};

Resettable part_of(const Row& row) {
  return {.hold = amperes(row.hold),
          .trip = amperes(row.trip),
          .at = amperes(row.at),
          .within = seconds(row.within),
          .tripped = watts(row.watts),
          .r_min = ohms(row.r_min),
          .r1_max = ohms(row.r1_max)};
}

void check_rows(const std::vector<Row>& rows, double across) {
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Resettable part = part_of(row);
    CHECK(std::isinf(time_to_open(part, part.hold).earliest.si));  // acceptance test: 30 min at hold, no trip
    const OpeningInterval between = time_to_open(part, 0.5 * (part.hold + part.trip));
    CHECK(between.earliest.si == 0.0);
    CHECK(std::isinf(between.latest.si));
    CHECK(time_to_open(part, part.at).latest == part.within);
    CHECK(time_to_open(part, 3.0 * part.at).latest == part.within);
    CHECK(std::isinf(time_to_open(part, 0.99 * part.at).latest.si));
    // Tripped, E²/W, it is at least a hundred times what it is at most when whole.
    CHECK(volts(across) * volts(across) / part.tripped > 100.0 * part.r1_max);
  }
}

}  // namespace

TEST_CASE("e2: Bel 0ZRG") {
  check_rows(bel_0zrg, 16);
}

TEST_CASE("e2: Bel 0ZRA; its trip current is 1.7 times hold throughout") {
  check_rows(bel_0zra, 16);
  for (const Row& row : bel_0zra) CHECK(row.trip / row.hold == doctest::Approx(1.7));
}

TEST_CASE("e2: Bourns MF-R") {
  check_rows(bourns, 60);
}
