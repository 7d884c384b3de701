#include "desk/openings.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ringout::desk {
namespace {

constexpr TripInterval never{{std::numeric_limits<double>::infinity()}, {std::numeric_limits<double>::infinity()}};

void add(const DeskReport& report, RangeOf what, std::size_t of, Opening o, std::vector<Opening>& all) {
  const FigureRange* range = report.range(what, of, o.protection);
  o.within = range != nullptr && range->opens ? *range->opens : o.trip;
  if (o.multiple > 0.0 && std::isfinite(o.within.earliest.si)) all.push_back(o);
}

bool sooner(const Opening& a, const Opening& b) {
  if (a.trip.latest != b.trip.latest) return a.trip.latest < b.trip.latest;
  const bool sure = std::isfinite(a.trip.latest.si);
  const Time from_a = sure ? a.trip.earliest : a.within.earliest;
  const Time from_b = sure ? b.trip.earliest : b.within.earliest;
  if (from_a != from_b) return from_a < from_b;
  return a.multiple > b.multiple;
}

}  // namespace

std::vector<Opening> openings(const DeskReport& report) {
  std::vector<Opening> all;
  for (std::size_t n = 0; n < report.cases.size(); ++n) {
    const CaseReport& c = report.cases[n];
    for (std::size_t p = 0; !c.unsolved && p < c.protections.size(); ++p) {
      const ProtectionFigures& f = c.protections[p];
      add(report, RangeOf::case_multiple, n, {.load_case = &c, .protection = p, .multiple = f.multiple, .trip = f.trip},
          all);
    }
  }
  for (const BranchStall& s : report.branch_stalls) {
    for (std::size_t p = 0; p < s.multiples.size(); ++p) {
      add(report, RangeOf::stall_multiple, s.output,
          {.stall = &s, .protection = p, .multiple = s.multiples[p], .trip = s.first_to_open == p ? s.trip : never},
          all);
    }
  }
  std::stable_sort(all.begin(), all.end(), sooner);
  return all;
}

bool lasts(const CaseReport& c) {
  return std::none_of(c.outputs.begin(), c.outputs.end(),
                      [](const OutputFigures& f) { return f.loading == robot::Loading::stalled; });
}

}  // namespace ringout::desk
