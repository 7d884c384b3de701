// When a protection opens: the limits of its sheet against the currents that flow through it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "chart/svg.h"
#include "cli/desk_plot_parts.h"
#include "cli/desk_text.h"
#include "cli/measure.h"
#include "desk/device_models.h"

namespace ringout::cli {
namespace {

using chart::Figure;
using chart::Panel;
using desk::DeskReport;
using robot::Robot;

// Between two multiples of the limits the earliest of the one above, the latest of the one below; the rating itself is
// carried for ever.
std::vector<chart::BandPoint> stepwise(const desk::ProtectionModel& model, double beyond) {
  std::vector<chart::BandPoint> points;
  double from = model.rating.si;
  double high = INFINITY;
  for (const auto& point : model.limits) {
    const double to = point.multiple * model.rating.si;
    if (to > from) {
      points.push_back({from, point.earliest.si, high});
      points.push_back({to, point.earliest.si, high});
      from = to;
    }
    high = point.latest.si;
  }
  points.push_back({from, 0.0, high});
  points.push_back({beyond * from, 0.0, high});
  return points;
}

constexpr double carried = 0.05;  // A: below it, nothing to draw

struct ProtectedLoad {
  std::string name;
  double current = 0.0;
  Temperature ambient = {};
  std::optional<desk::TripInterval> trip = {};
  std::string opens = {};  // the same within the tolerances, in words
};

bool is_fed_through(const Robot& robot, const robot::Output& output, const std::string& protection) {
  std::string at = output.fed_by;
  for (std::size_t steps = 0; steps <= robot.protections.size() && at != protection; ++steps) {
    const robot::Protection* p = robot.protection(at);
    if (p == nullptr) return false;
    at = p->fed_from;
  }
  return at == protection;
}

// Of the motors behind this protection the one that loads it most when it alone is held still.
std::optional<ProtectedLoad> worst_stall(const Robot& robot, const DeskReport& report, std::size_t protection) {
  std::optional<ProtectedLoad> worst;
  for (const auto& stall : report.branch_stalls) {
    const auto& output = robot.outputs[stall.output];
    if (!is_fed_through(robot, output, robot.protections[protection].name)) continue;
    if (worst && worst->current >= stall.supply_current.si) continue;
    worst = ProtectedLoad{output.name + " alone, stalled", stall.supply_current.si, robot.ambient};
    if (stall.first_to_open != protection) continue;
    worst->trip = stall.trip;
    const desk::FigureRange* multiple = report.range(desk::RangeOf::stall_multiple, stall.output, protection);
    worst->opens = trip_text(multiple != nullptr && multiple->opens ? *multiple->opens : stall.trip);
  }
  return worst;
}

// The heaviest loads, heaviest first; nearly the same current shares a line.
std::vector<ProtectedLoad> loads_of(const Robot& robot, const DeskReport& report, std::size_t protection) {
  constexpr std::size_t most_lines = 4;
  constexpr double nearly = 1.03;
  std::vector<ProtectedLoad> loads;
  for (const auto& c : report.cases) {
    if (c.unsolved || c.protections[protection].current.si <= carried) continue;
    loads.push_back({c.name, c.protections[protection].current.si, c.ambient});
  }
  std::stable_sort(loads.begin(), loads.end(), [](const auto& a, const auto& b) { return a.current > b.current; });
  std::vector<ProtectedLoad> shown_ones;
  if (const auto stall = worst_stall(robot, report, protection)) shown_ones.push_back(*stall);
  for (const auto& load : loads) {
    const bool told = std::any_of(shown_ones.begin(), shown_ones.end(), [&](const ProtectedLoad& s) {
      return std::max(s.current, load.current) < nearly * std::min(s.current, load.current);
    });
    if (!told && shown_ones.size() < most_lines) shown_ones.push_back(load);
  }
  return shown_ones;
}

// Of the load cases in which it carries anything.
Temperature hottest_of(const Robot& robot, const DeskReport& report, std::size_t protection) {
  Temperature hottest = robot.ambient;
  for (const auto& c : report.cases) {
    if (!c.unsolved && c.protections[protection].current.si > carried) hottest = std::max(hottest, c.ambient);
  }
  return hottest;
}

std::string degrees_text(Temperature t) {
  return shown(Measure::temperature, t.si);
}

// What the protection is drawn as.
struct Drawn {
  const robot::ProtectionDevice& device;
  Temperature ambient;
  desk::ProtectionModel model;

  [[nodiscard]] double factor() const { return model.rating / device.rating; }
};

// The ambient of a load, where the protection has another rating there than it is drawn with.
std::string where_text(const Drawn& drawn, const ProtectedLoad& load) {
  const bool same = desk::rating_at(drawn.device, load.ambient) == drawn.model.rating;
  return same ? "" : " at " + degrees_text(load.ambient);
}

// Where a stalled motor's current meets the curve: both ends of the time.
void mark_trip(const Drawn& drawn, const ProtectedLoad& load, Panel& panel) {
  if (!load.trip) return;
  const double at = std::isfinite(load.trip->latest.si) ? load.trip->latest.si : load.trip->earliest.si;
  if (!std::isfinite(at)) return;
  panel.marks.push_back({fmt::format("stalled{}, it opens {}", where_text(drawn, load), load.opens),
                         {load.current, std::max(at, *panel.y.from)}});
}

void add_loads(const Drawn& drawn, const std::vector<ProtectedLoad>& loads, Panel& panel) {
  for (const auto& load : loads) {
    panel.levels.push_back({fmt::format("{}{}: {:.3g} A", load.name, where_text(drawn, load), load.current),
                            load.current, chart::Direction::vertical});
    mark_trip(drawn, load, panel);
  }
}

// What a printed current counts at the ambient drawn.
void add_rating(const Drawn& drawn, const char* what, Current printed, Panel& panel) {
  const double counts = printed.si * drawn.factor();
  panel.levels.push_back(
      {drawn.model.rating == drawn.device.rating
           ? fmt::format("{} {:.3g} A", what, printed.si)
           : fmt::format("{} {:.3g} A, at {} {:.3g} A", what, printed.si, degrees_text(drawn.ambient), counts),
       counts, chart::Direction::vertical});
}

std::string drawn_text(const Drawn& drawn) {
  if (drawn.device.derating.empty()) return " Its sheet states no derating with the ambient.";
  return fmt::format(" Drawn for {}, the hottest of its load cases.", degrees_text(drawn.ambient));
}

}  // namespace

std::optional<Plot> protection_plot(const Robot& robot, const DeskReport& report, std::size_t index) {
  const auto& p = robot.protections[index];
  const auto* device = robot.device_of(p.device).as<robot::ProtectionDevice>();
  if (device == nullptr) return std::nullopt;
  const bool resettable = device->limits.empty() && device->kind == robot::ProtectionKind::resettable;
  if (device->limits.empty() && !resettable) return std::nullopt;
  const Temperature ambient = hottest_of(robot, report, index);
  const Drawn drawn{*device, ambient, desk::protection_model(*device, ambient)};
  const double beyond = !resettable ? 4.0 : drawn.model.limits.size() > 1 ? 2.0 : 8.0;  // of the last limit, to be seen
  Panel panel{{"time to open", "s", chart::Scale::logarithmic, 0.01, 1e5}};
  panel.height = 95.0;
  panel.bands = {{resettable ? "opens within this area: hold and trip of the sheet"
                             : "opens within this area: published limits, stepwise",
                  stepwise(drawn.model, beyond)}};
  double most = panel.bands.front().points.back().x / (resettable ? 1.0 : 2.0);
  double least = 0.5 * drawn.model.rating.si;
  add_loads(drawn, loads_of(robot, report, index), panel);
  add_rating(drawn, resettable ? "holds" : "rating", device->rating, panel);
  if (resettable) add_rating(drawn, "trips at", device->trip, panel);
  for (const auto& level : panel.levels) {
    most = std::max(most, 1.1 * level.value);
    least = std::min(least, 0.9 * level.value);
  }
  const Figure figure{fmt::format("{}: {}, when does it open?", p.name, p.device),
                      note_of(drawn.model.basis) + drawn_text(drawn) +
                          " Dotted: the load cases' currents, and the heaviest motor behind it stalled." +
                          invented(robot),
                      {"current", "A", chart::Scale::logarithmic, least, most},
                      {panel}};
  return Plot{"protection_" + p.name, draw(figure).svg};
}

}  // namespace ringout::cli
