#include "desk/tolerance.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "desk/chance.h"
#include "desk/moved_robot.h"
#include "desk/network.h"

namespace ringout::desk {
namespace {

constexpr double tail = 0.025;
constexpr std::size_t most_drivers = 5;
constexpr double least_share = 0.01;  // below it chance alone gives as much
constexpr double loaded_share = 0.5;  // of a protection's rating: below it, its current is no key figure

// What is read from a solution: which figure, and where it stands.
struct Watched {
  enum class What { controller, battery_terminals, battery_current, motor_current, motor_speed, protection } what;
  std::size_t index = 0;  // of the chopped loads or the resistors
  std::string name;
  SpreadUnit unit = SpreadUnit::volt;
};

// The robot with its figures moved, and its network.
class Trial {
 public:
  Trial(const robot::Robot& robot, const Layout& layout, const PlannedCase& planned)
      : moved_(robot), layout_(layout), planned_(planned), circuit_(layout.circuit) {
    auto network = Network::of(circuit_);
    if (network) network_ = std::move(*network);
  }

  // False where the network has no solution.
  [[nodiscard]] bool solve(const std::vector<double>& offsets) {
    moved_.move(offsets);
    refresh(moved_.robot(), planned_);
    if (!network_ || !set_values(moved_.robot(), layout_, planned_.setting, circuit_)) return false;
    if (nominal_.empty()) {
      if (!network_->solve(circuit_, solution_)) return false;
      nominal_ = solution_.nodes;
      return true;
    }
    solution_.nodes = nominal_;
    return network_->solve_near(circuit_, solution_).has_value();
  }

  [[nodiscard]] double value(const Watched& w) const {
    switch (w.what) {
      case Watched::What::controller:
        return solution_.nodes[layout_.board].si;
      case Watched::What::battery_terminals:
        return solution_.nodes[Layout::terminals].si;
      case Watched::What::battery_current:
        return solution_.sources[0].si;
      case Watched::What::motor_current:
        return solution_.chopped_loads[w.index].current.si;
      case Watched::What::motor_speed:
        return solution_.chopped_loads[w.index].speed.si;
      case Watched::What::protection:
        return solution_.resistors[w.index].si;
    }
    return 0.0;
  }

  [[nodiscard]] std::size_t tolerances() const { return moved_.tolerances(); }
  [[nodiscard]] const Solution& solution() const { return solution_; }
  [[nodiscard]] const robot::Robot& robot() const { return moved_.robot(); }

 private:
  MovedRobot moved_;
  const Layout& layout_;
  PlannedCase planned_;
  Circuit circuit_;
  std::optional<Network> network_;
  Solution solution_;
  std::vector<Voltage> nominal_;  // nodes of the first solution: where every other begins
};

std::vector<Watched> key_figures(const Trial& nominal, const Layout& layout) {
  using What = Watched::What;
  std::vector<Watched> all = {
      {.what = What::controller, .name = "controller voltage", .unit = SpreadUnit::volt},
      {.what = What::battery_terminals, .name = "battery terminal voltage", .unit = SpreadUnit::volt},
      {.what = What::battery_current, .name = "battery current", .unit = SpreadUnit::ampere}};
  const robot::Robot& robot = nominal.robot();
  for (std::size_t o = 0; o < layout.outputs.size(); ++o) {
    const std::size_t load = layout.outputs[o].load;
    if (load == nowhere || nominal.solution().chopped_loads[load].regime == Regime::off) continue;
    const std::string& name = robot.outputs[o].name;
    all.push_back({.what = What::motor_current, .index = load, .name = name + " current", .unit = SpreadUnit::ampere});
    if (nominal.solution().chopped_loads[load].speed.si == 0.0) continue;
    all.push_back({.what = What::motor_speed,
                   .index = load,
                   .name = name + " motor speed",
                   .unit = SpreadUnit::radian_per_second});
  }
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    const auto* device = robot.catalogue.devices[layout.protection_devices[p]].as<robot::ProtectionDevice>();
    const std::size_t resistor = layout.resistor_of_protection(p);
    const Current i = nominal.solution().resistors[resistor];
    if (device == nullptr || std::abs(i.si) < loaded_share * device->rating.si) continue;
    all.push_back({.what = What::protection,
                   .index = resistor,
                   .name = robot.protections[p].name + " current",
                   .unit = SpreadUnit::ampere});
  }
  return all;
}

std::vector<double> ranks_of(const std::vector<double>& values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  std::vector<double> ranks(values.size());
  for (std::size_t first = 0; first < order.size();) {
    std::size_t last = first;
    while (last + 1 < order.size() && values[order[last + 1]] == values[order[first]]) ++last;
    for (std::size_t n = first; n <= last; ++n) ranks[order[n]] = 0.5 * static_cast<double>(first + last);
    first = last + 1;
  }
  return ranks;
}

// Moved to a mean of nothing and a length of one, so that a correlation is a plain product; all 0 where all tie.
void normalise(std::vector<double>& values) {
  const double mean = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
  double square = 0.0;
  for (double& v : values) {
    v -= mean;
    square += v * v;
  }
  const double scale = square > 0.0 ? 1.0 / std::sqrt(square) : 0.0;
  for (double& v : values) v *= scale;
}

std::vector<double> normal_ranks(const std::vector<double>& values) {
  std::vector<double> ranks = ranks_of(values);
  normalise(ranks);
  return ranks;
}

double product(const std::vector<double>& a, const std::vector<double>& b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

std::vector<Driver> drivers_of(const std::vector<double>& figure, const std::vector<std::vector<double>>& inputs) {
  const std::vector<double> ranks = normal_ranks(figure);
  std::vector<Driver> all;
  double squares = 0.0;
  for (std::size_t t = 0; t < inputs.size(); ++t) {
    all.push_back({.tolerance = t, .correlation = product(ranks, inputs[t])});
    squares += all.back().correlation * all.back().correlation;
  }
  for (Driver& d : all) d.share = squares > 0.0 ? d.correlation * d.correlation / squares : 0.0;
  std::stable_sort(all.begin(), all.end(), [](const Driver& a, const Driver& b) { return a.share > b.share; });
  const auto counts = [](const Driver& d) { return d.share >= least_share; };
  all.erase(std::find_if_not(all.begin(), all.end(), counts), all.end());
  if (all.size() > most_drivers) all.resize(most_drivers);
  return all;
}

Interval interval_of(std::vector<double> values, double nominal) {
  std::sort(values.begin(), values.end());
  const auto at = [&](double share) {
    const double place = share * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    const std::size_t above = std::min(below + 1, values.size() - 1);
    return values[below] + (place - static_cast<double>(below)) * (values[above] - values[below]);
  };
  return {.nominal = nominal, .low = at(tail), .high = at(1.0 - tail), .least = values.front(), .most = values.back()};
}

// Which way each figure goes with each tolerance alone: +1, −1, 0 for neither, or not monotone at all.
struct Directions {
  std::vector<std::vector<double>> of;  // per figure, per tolerance
  std::vector<bool> monotone;           // per figure
};

Directions directions_of(Trial& trial, const std::vector<Watched>& figures, const std::vector<double>& nominal) {
  Directions d;
  d.of.assign(figures.size(), std::vector<double>(trial.tolerances(), 0.0));
  d.monotone.assign(figures.size(), true);
  std::vector<double> offsets(trial.tolerances(), 0.0), low(figures.size());
  for (std::size_t t = 0; t < trial.tolerances(); ++t) {
    offsets[t] = -1.0;
    const bool low_solved = trial.solve(offsets);
    for (std::size_t f = 0; low_solved && f < figures.size(); ++f) low[f] = trial.value(figures[f]);
    offsets[t] = 1.0;
    const bool high_solved = trial.solve(offsets);
    offsets[t] = 0.0;
    for (std::size_t f = 0; f < figures.size(); ++f) {
      if (!low_solved || !high_solved) {
        d.monotone[f] = false;
        continue;
      }
      const double high = trial.value(figures[f]);
      const double rounding = 1e-9 * (std::abs(nominal[f]) + 1e-12);
      if ((nominal[f] - low[f]) * (high - nominal[f]) < -rounding * rounding) d.monotone[f] = false;
      if (std::abs(high - low[f]) > rounding) d.of[f][t] = high > low[f] ? 1.0 : -1.0;
    }
  }
  return d;
}

void add_corners(Trial& trial, const std::vector<Watched>& figures, const Directions& d, Spread& spread) {
  for (std::size_t f = 0; f < figures.size(); ++f) {
    if (!d.monotone[f]) continue;
    Interval& interval = spread.figures[f].interval;
    std::vector<double> offsets = d.of[f];
    if (!trial.solve(offsets)) continue;
    const double high = trial.value(figures[f]);
    for (double& o : offsets) o = -o;
    if (!trial.solve(offsets)) continue;
    const double low = trial.value(figures[f]);
    const double rounding = 1e-9 * std::abs(interval.nominal);
    if (low > interval.least + rounding || high < interval.most - rounding) continue;
    interval.corner_low = low;
    interval.corner_high = high;
  }
}

}  // namespace

double rank_correlation(const std::vector<double>& a, const std::vector<double>& b) {
  return a.size() < 2 ? 0.0 : product(normal_ranks(a), normal_ranks(b));
}

std::optional<Spread> spread_of(const robot::Robot& robot, const Layout& layout, const PlannedCase& planned,
                                const DeskOptions& options) {
  if (robot.tolerances.empty() || options.draws < 2) return std::nullopt;
  Trial trial(robot, layout, planned);
  std::vector<double> offsets(trial.tolerances(), 0.0);
  if (!trial.solve(offsets)) return std::nullopt;
  const std::vector<Watched> figures = key_figures(trial, layout);
  std::vector<double> nominal;
  nominal.reserve(figures.size());
  for (const Watched& w : figures) nominal.push_back(trial.value(w));
  Spread spread{.seed = options.seed, .draws = options.draws};
  std::vector<std::vector<double>> drawn(trial.tolerances()), found(figures.size());
  Chance chance(options.seed);
  int brown = 0, low = 0;
  for (int n = 0; n < options.draws; ++n) {
    for (double& o : offsets) o = chance.next();
    if (!trial.solve(offsets)) {
      ++spread.unsolved;
      continue;
    }
    for (std::size_t t = 0; t < offsets.size(); ++t) drawn[t].push_back(offsets[t]);
    for (std::size_t f = 0; f < figures.size(); ++f) found[f].push_back(trial.value(figures[f]));
    brown += found[0].back() < trial.robot().board.brown_out.si ? 1 : 0;
    low += found[0].back() < trial.robot().board.supply_low.si ? 1 : 0;
  }
  const std::size_t solved = found[0].size();
  if (solved < 2) return spread;
  spread.brown_outs = brown / static_cast<double>(solved);
  spread.lows = low / static_cast<double>(solved);
  for (std::vector<double>& input : drawn) normalise(input);  // evenly drawn: as good as their ranks
  for (std::size_t f = 0; f < figures.size(); ++f) {
    spread.figures.push_back({.name = figures[f].name,
                              .unit = figures[f].unit,
                              .interval = interval_of(found[f], nominal[f]),
                              .drivers = drivers_of(found[f], drawn)});
  }
  add_corners(trial, figures, directions_of(trial, figures, nominal), spread);
  return spread;
}

}  // namespace ringout::desk
