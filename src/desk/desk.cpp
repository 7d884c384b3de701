#include "desk/desk.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "desk/duty.h"
#include "desk/motor_curves.h"
#include "desk/notes.h"
#include "desk/ranges.h"
#include "desk/rules/rule.h"
#include "desk/tolerance.h"

namespace ringout::desk {
namespace {

// Unsolved first, then by what is left above the controller's brown-out.
std::vector<std::size_t> worst_first(const std::vector<CaseReport>& cases) {
  std::vector<std::size_t> order(cases.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    if (cases[a].unsolved.has_value() != cases[b].unsolved.has_value()) return cases[a].unsolved.has_value();
    return cases[a].above_brown_out < cases[b].above_brown_out;
  });
  return order;
}

}  // namespace

const CaseReport* DeskReport::find_case(std::string_view name) const {
  const auto at = std::find_if(cases.begin(), cases.end(), [&](const CaseReport& c) { return c.name == name; });
  return at == cases.end() ? nullptr : &*at;
}

const FigureRange* DeskReport::range(RangeOf what, std::size_t of, std::size_t part) const {
  const auto at = std::find_if(ranges.begin(), ranges.end(),
                               [&](const FigureRange& r) { return r.what == what && r.of == of && r.part == part; });
  return at == ranges.end() ? nullptr : &*at;
}

DeskReport desk_check(const robot::Robot& robot, const DeskOptions& options) {
  DeskReport report;
  CaseSolver solver(robot);
  const std::vector<PlannedCase> planned = load_cases(robot, solver.layout());
  for (const PlannedCase& p : planned) report.cases.push_back(solver.report(p));
  report.by_severity = worst_first(report.cases);
  std::vector<std::size_t> outputs(robot.outputs.size());
  std::iota(outputs.begin(), outputs.end(), std::size_t{0});
  report.branch_stalls = branch_stalls(robot, solver.layout(), outputs);
  report.motors = motor_curves(robot, solver.layout(), outputs);
  DutyChecker duties(robot, solver);
  for (std::size_t d = 0; d < robot.duty_cycles.size(); ++d) report.duties.push_back(duties.figures(d, options));
  add_warm_limits(robot, solver.layout(), report.duties, report.branch_stalls);
  const auto worst = std::find_if(report.by_severity.begin(), report.by_severity.end(),
                                  [&](std::size_t c) { return !report.cases[c].unsolved; });
  if (worst != report.by_severity.end()) {
    report.spread = spread_of(robot, solver.layout(), planned[*worst], options);
    if (report.spread) report.spread->of_case = *worst;
  }
  report.nodes = solver.layout().nodes;
  report.branches = solver.layout().branches;
  report.wires = solver.layout().wires;
  add_ranges(robot, planned, options, report);
  report.findings = findings_of(robot, report);
  add_notes(robot, report);
  return report;
}

}  // namespace ringout::desk
