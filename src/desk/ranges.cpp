#include "desk/ranges.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <string_view>

#include "desk/chance.h"
#include "desk/duty.h"
#include "desk/motor_curves.h"
#include "desk/moved_robot.h"
#include "desk/report_figures.h"
#include "desk/wire_limit.h"

namespace ringout::desk {
namespace {

constexpr double tail = 0.025;
constexpr std::size_t most_drivers = 5;
constexpr double least_share = 0.01;  // of the variance: a driver
constexpr double drawn_share = 1e-4;  // of the variance: terms below it are not drawn
constexpr double rounding = 1e-9;     // of a figure: less is no change

// What has to be worked out anew when one tolerance moves.
struct Touched {
  std::vector<std::size_t> cases, outputs, duties;
};

std::vector<std::size_t> all_of(std::size_t n) {
  std::vector<std::size_t> indices(n);
  std::iota(indices.begin(), indices.end(), std::size_t{0});
  return indices;
}

bool on_in(const CaseSetting& setting, const std::vector<std::size_t>& outputs) {
  return std::any_of(outputs.begin(), outputs.end(),
                     [&](std::size_t o) { return setting.outputs[o].loading != robot::Loading::off; });
}

// By the path's first words (robot/quantity_paths.h). What belongs to single outputs touches what these take part in;
// a load case's and a duty cycle's figures touch that alone; every other figure may touch all.
class Reach {
 public:
  Reach(const robot::Robot& robot, const std::vector<PlannedCase>& planned) : robot_(robot), planned_(planned) {}

  [[nodiscard]] Touched of(std::string_view path) const {
    for (std::size_t c = 0; c < robot_.load_cases.size(); ++c) {
      if (path.starts_with("load_case." + robot_.load_cases[c].name + ".")) return of_load_case(c, path);
    }
    for (std::size_t d = 0; d < robot_.duty_cycles.size(); ++d) {
      if (path.starts_with("duty_cycle." + robot_.duty_cycles[d].name + ".")) return {{}, {}, {d}};
    }
    if (path.starts_with("input.")) return {};  // no sensor's wire carries current that counts here
    std::vector<std::size_t> outputs;
    for (std::size_t o = 0; o < robot_.outputs.size(); ++o) {
      const robot::Output& output = robot_.outputs[o];
      const bool its_own =
          path.starts_with("output." + output.name + ".") || path.starts_with("device." + output.device + ".") ||
          path.starts_with("device." + output.connector + ".") || path.starts_with("board.port." + output.port + ".");
      if (its_own) outputs.push_back(o);
    }
    if (!outputs.empty() || path.starts_with("board.port.")) return of_outputs(std::move(outputs));
    return {all_of(planned_.size()), all_of(robot_.outputs.size()), all_of(robot_.duty_cycles.size())};
  }

 private:
  // The hottest ambient of all cases is in every wire's limit.
  [[nodiscard]] Touched of_load_case(std::size_t index, std::string_view path) const {
    Touched touched;
    const bool ambient = path.ends_with(".ambient");
    for (std::size_t c = 0; c < planned_.size(); ++c) {
      if (ambient || planned_[c].file_case == index) touched.cases.push_back(c);
    }
    return touched;
  }

  [[nodiscard]] Touched of_outputs(std::vector<std::size_t> outputs) const {
    Touched touched;
    for (std::size_t c = 0; c < planned_.size(); ++c) {
      if (on_in(planned_[c].setting, outputs)) touched.cases.push_back(c);
    }
    for (std::size_t d = 0; d < robot_.duty_cycles.size(); ++d) {
      const auto& steps = robot_.duty_cycles[d].steps;
      const bool used = std::any_of(steps.begin(), steps.end(), [&](const robot::DutyStep& step) {
        return std::any_of(step.loads.begin(), step.loads.end(), [&](const robot::OutputLoad& load) {
          return std::any_of(outputs.begin(), outputs.end(),
                             [&](std::size_t o) { return robot_.outputs[o].name == load.output; });
        });
      });
      if (used) touched.duties.push_back(d);
    }
    touched.outputs = std::move(outputs);
    return touched;
  }

  const robot::Robot& robot_;
  const std::vector<PlannedCase>& planned_;
};

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
      scratch_.cases[c] = solver_.report(planned_[c], &near_[c]);
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

// gt(x): straight from 0 to `up` at x = 1, and to `down` at x = −1.
struct Term {
  std::size_t tolerance = 0;
  double up = 0.0;
  double down = 0.0;
  // x even on −1 … 1: mean (up + down)/4, mean square (up² + down²)/6.
  [[nodiscard]] double variance() const {
    const double mean = 0.25 * (up + down);
    return (up * up + down * down) / 6.0 - mean * mean;
  }
  [[nodiscard]] double at(double x) const { return x > 0.0 ? up * x : -down * x; }
};

// From the changes at both ends; one that has no figure is taken as the other turned round.
std::optional<Term> term_of(std::size_t tolerance, double nominal, double low, double high) {
  if (std::isnan(low) && std::isnan(high)) return std::nullopt;
  const double up = std::isnan(high) ? nominal - low : high - nominal;
  const double down = std::isnan(low) ? -up : low - nominal;
  if (std::max(std::abs(up), std::abs(down)) <= rounding * std::abs(nominal)) return std::nullopt;
  return Term{.tolerance = tolerance, .up = up, .down = down};
}

// Every draw's offset of every tolerance; the same numbers as spread_of draws with this seed.
std::vector<std::vector<double>> offsets_of(std::size_t tolerances, const DeskOptions& options) {
  std::vector<std::vector<double>> drawn(tolerances, std::vector<double>(static_cast<std::size_t>(options.draws)));
  Chance chance(options.seed);
  for (int n = 0; n < options.draws; ++n) {
    for (auto& of : drawn) of[static_cast<std::size_t>(n)] = chance.next();
  }
  return drawn;
}

// Linear between the sorted values around it.
double quantile(std::vector<double>& values, double share) {
  const double place = share * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(place);
  std::nth_element(values.begin(), values.begin() + below, values.end());
  const double at = values[static_cast<std::size_t>(below)];
  if (static_cast<std::size_t>(below) + 1 >= values.size()) return at;
  const double next = *std::min_element(values.begin() + below + 1, values.end());
  return at + (place - static_cast<double>(below)) * (next - at);
}

class Surface {
 public:
  Surface(double nominal, std::vector<Term> terms) : nominal_(nominal), terms_(std::move(terms)) {
    std::stable_sort(terms_.begin(), terms_.end(),
                     [](const Term& a, const Term& b) { return a.variance() > b.variance(); });
    for (const Term& t : terms_) variance_ += t.variance();
  }

  [[nodiscard]] Interval interval(const std::vector<std::vector<double>>& drawn, std::vector<double>& values) const {
    values.assign(drawn.front().size(), nominal_);
    for (const Term& t : terms_) {
      if (t.variance() < drawn_share * variance_) break;
      const std::vector<double>& x = drawn[t.tolerance];
      for (std::size_t n = 0; n < values.size(); ++n) values[n] += t.at(x[n]);
    }
    Interval i{.nominal = nominal_};
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    i.least = *least;
    i.most = *most;
    i.low = quantile(values, tail);
    i.high = quantile(values, 1.0 - tail);
    return i;
  }

  [[nodiscard]] std::vector<Driver> drivers() const {
    std::vector<Driver> all;
    for (const Term& t : terms_) {
      const double share = t.variance() / variance_;
      if (share < least_share || all.size() == most_drivers) break;
      all.push_back(
          {.tolerance = t.tolerance, .correlation = std::copysign(std::sqrt(share), t.up - t.down), .share = share});
    }
    return all;
  }

 private:
  double nominal_;
  std::vector<Term> terms_;
  double variance_ = 0.0;
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
  const Reach reach(robot, planned);
  std::vector<double> low(figures.size());
  for (std::size_t t = 0; t < robot.tolerances.size(); ++t) {
    const Touched touched = reach.of(robot.tolerances[t].path);
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
  const std::vector<std::vector<double>> drawn = offsets_of(robot.tolerances.size(), options);
  std::vector<double> values;
  for (std::size_t f = 0; f < figures.size(); ++f) {
    if (terms[f].empty()) continue;
    const ReportFigure& figure = figures[f];
    const Surface surface(nominal[f], std::move(terms[f]));
    FigureRange range{.what = figure.what, .of = figure.of, .part = figure.part, .unit = figure.unit};
    const Interval drawn_as = surface.interval(drawn, values);
    range.interval = figure.reciprocal ? as_times(drawn_as) : drawn_as;
    keep_within(figure.what, range.interval);
    range.drivers = surface.drivers();
    if (figure.what == RangeOf::case_multiple || figure.what == RangeOf::stall_multiple) {
      range.opens = opens_within(robot, figure.part, range.interval);
    }
    report.ranges.push_back(std::move(range));
  }
}

}  // namespace ringout::desk
