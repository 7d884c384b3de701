#include "desk/ranges.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "desk/duty.h"
#include "desk/motor_curves.h"
#include "desk/moved_robot.h"
#include "desk/reach.h"
#include "desk/report_figures.h"
#include "desk/term_sum.h"
#include "desk/wire_limit.h"

namespace ringout::desk {
namespace {

// The report with one tolerance moved: what it touches is worked out anew, the rest is not looked at.
class Rerun {
 public:
  Rerun(const robot::Robot& robot, const std::vector<PlannedCase>& planned, const DeskOptions& options,
        const DeskReport& report)
      : moved_(robot),
        solver_(moved_.robot()),
        duties_(moved_.robot(), solver_),
        planned_(planned),
        options_(options),
        report_(report) {
    options_.curves = Curves::leave_out;
    for (const CaseReport& c : report.cases) near_.push_back(c.nodes);
    scratch_.cases = report.cases;
    scratch_.duties = report.duties;
    scratch_.wires = report.wires;
    // Also brings the solver to nominal: each duty step's solution is where its later ones start from.
    for (std::size_t d = 0; d < report.duties.size(); ++d) {
      scratch_.duties[d] = duties_.figures(d, options_, RunDown::evenly);
    }
    scratch_.branch_stalls = report.branch_stalls;
    scratch_.motors = report.motors;
    nominal_ambient_ = hottest_ambient(robot);
  }

  // Before any is moved: what changes are counted from. A battery is run down evenly here.
  [[nodiscard]] const DeskReport& nominal() const { return scratch_; }
  [[nodiscard]] const DeskReport& with(std::size_t tolerance, double offset, const Touched& touched) {
    moved_.move_one(tolerance, offset);
    const robot::Robot& robot = moved_.robot();
    for (const std::size_t c : touched.cases) {
      refresh(robot, planned_[c]);
      solver_.shares(planned_[c], near_[c], scratch_.cases[c]);
    }
    scratch_.branch_stalls = branch_stalls(robot, solver_.layout(), touched.outputs);
    scratch_.motors = motor_curves(robot, solver_.layout(), touched.outputs);
    for (const std::size_t d : touched.duties) {
      scratch_.duties[d] = duties_.figures(d, options_, RunDown::evenly);
    }
    const bool warmer = hottest_ambient(robot) != nominal_ambient_;
    if (warmer) set_wire_limits(robot, scratch_.wires);
    if (!warmer && limits_moved_) scratch_.wires = report_.wires;
    limits_moved_ = warmer;
    moved_.move_one(tolerance, 0.0);
    return scratch_;
  }

 private:
  MovedRobot moved_;
  CaseSolver solver_;
  DutyChecker duties_;
  std::vector<PlannedCase> planned_;
  DeskOptions options_;
  const DeskReport& report_;
  std::vector<std::vector<Voltage>> near_;
  DeskReport scratch_;
  Temperature nominal_ambient_;
  bool limits_moved_ = false;
};

// Of 1/t: the longest time from the smallest; at 0 and below never.
Interval as_times(const Interval& rate) {
  const auto time = [](double r) { return r > 0.0 ? 1.0 / r : std::numeric_limits<double>::infinity(); };
  return {.nominal = time(rate.nominal),
          .low = time(rate.high),
          .high = time(rate.low),
          .least = time(rate.most),
          .most = time(rate.least)};
}

// What cannot be below nothing, or above the whole, is not: a sum knows no bounds.
void keep_within(RangeOf what, Interval& i) {
  const double most = what == RangeOf::heat_allowed ? 1.0 : std::numeric_limits<double>::infinity();
  if (what == RangeOf::motor_starting) return;
  for (double* v : {&i.low, &i.high, &i.least, &i.most}) *v = std::clamp(*v, std::min(0.0, i.nominal), most);
}

// Trip times at the ends of a multiple's interval.
TripInterval opens_within(const robot::Robot& robot, std::size_t protection, const Interval& multiple) {
  const auto* device =
      robot.device_of(robot.protections[protection].device).as<robot::ProtectionDevice>();  // reached by its current
  const ProtectionModel model = protection_model(*device, robot.ambient);
  return {.earliest = model.time_to_open(model.rating * multiple.high).earliest,
          .latest = model.time_to_open(model.rating * multiple.low).latest};
}

// Which figures each thing that is worked out anew has.
using Figures = std::vector<std::size_t>;
std::vector<Figures> by_part(const std::vector<ReportFigure>& figures, PartOf where, std::size_t parts) {
  std::vector<Figures> all(parts);
  for (std::size_t f = 0; f < figures.size(); ++f) {
    if (figures[f].where == where) all[figures[f].of].push_back(f);
  }
  return all;
}

}  // namespace

void add_ranges(const robot::Robot& robot, const std::vector<PlannedCase>& planned, const DeskOptions& options,
                DeskReport& report) {
  if (robot.tolerances.empty() || options.draws < 2) return;
  const std::vector<ReportFigure> figures = report_figures(report);
  const std::vector<Figures> of_cases = by_part(figures, PartOf::load_case, report.cases.size());
  const std::vector<Figures> of_outputs = by_part(figures, PartOf::motor, robot.outputs.size());
  const std::vector<Figures> of_duties = by_part(figures, PartOf::duty, report.duties.size());
  std::vector<double> nominal, base;
  Rerun rerun(robot, planned, options, report);
  for (const ReportFigure& f : figures) {
    nominal.push_back(value_of(report, f));
    base.push_back(value_of(rerun.nominal(), f));
  }
  std::vector<std::vector<Term>> terms(figures.size());
  std::vector<double> low(figures.size());
  for (std::size_t t = 0; t < robot.tolerances.size(); ++t) {
    const Touched touched = reach_of(robot, planned, robot.tolerances[t].path);
    Figures moved;
    for (const std::size_t c : touched.cases) moved.insert(moved.end(), of_cases[c].begin(), of_cases[c].end());
    for (const std::size_t o : touched.outputs) moved.insert(moved.end(), of_outputs[o].begin(), of_outputs[o].end());
    for (const std::size_t d : touched.duties) moved.insert(moved.end(), of_duties[d].begin(), of_duties[d].end());
    const DeskReport& at_low = rerun.with(t, -1.0, touched);
    for (const std::size_t f : moved) low[f] = value_of(at_low, figures[f]);
    const DeskReport& at_high = rerun.with(t, 1.0, touched);
    bool moves = false;
    for (const std::size_t f : moved) {
      const auto term = term_of(t, base[f], low[f], value_of(at_high, figures[f]));
      if (term) terms[f].push_back(*term);
      moves |= term.has_value();
    }
    if (!moves) report.idle_tolerances.push_back(t);
  }
  const Offsets drawn = offsets_of(robot.tolerances.size(), options);
  std::vector<double> values;
  for (std::size_t f = 0; f < figures.size(); ++f) {
    if (terms[f].empty()) continue;
    const ReportFigure& figure = figures[f];
    const TermSum sum(nominal[f], std::move(terms[f]));
    FigureRange range{.what = figure.what, .of = figure.of, .part = figure.part, .unit = figure.unit};
    const Interval drawn_as = sum.interval(drawn, values);
    range.interval = figure.reciprocal ? as_times(drawn_as) : drawn_as;
    keep_within(figure.what, range.interval);
    range.drivers = sum.drivers();
    if (figure.reciprocal) {
      for (Driver& d : range.drivers) d.correlation = -d.correlation;
    }
    if (figure.what == RangeOf::case_multiple || figure.what == RangeOf::stall_multiple) {
      range.opens = opens_within(robot, figure.part, range.interval);
    }
    report.ranges.push_back(std::move(range));
  }
}

}  // namespace ringout::desk
