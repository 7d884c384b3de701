// When a protection opens: the limits of its sheet against the currents that flow through it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "chart/svg.h"
#include "cli/desk_plot_parts.h"
#include "cli/measure.h"

namespace ringout::cli {
namespace {

using chart::Figure;
using chart::Panel;
using desk::DeskReport;
using robot::Robot;

// A maker's steps: between two published multiples the earliest of the one above, the latest of the one below. The
// rating itself is carried for ever.
std::vector<chart::BandPoint> stepwise(const robot::ProtectionDevice& device) {
  std::vector<chart::BandPoint> points;
  double from = device.rating.si;
  double high = INFINITY;
  for (const auto& point : device.limits) {
    const double to = point.multiple * device.rating.si;
    if (to > from) {
      points.push_back({from, point.earliest.si, high});
      points.push_back({to, point.earliest.si, high});
      from = to;
    }
    high = point.latest ? point.latest->si : INFINITY;
  }
  points.push_back({from, 0.0, high});
  points.push_back({4.0 * from, 0.0, high});
  return points;
}

// A resettable one's sheet: it holds, above that it may open at any time, from one current on within one time.
std::vector<chart::BandPoint> held_and_tripped(const robot::ProtectionDevice& device) {
  const double hold = device.rating.si;
  if (!device.max_trip_at || !device.max_trip_within) return {{hold, 0.0, INFINITY}, {8.0 * hold, 0.0, INFINITY}};
  const double at = device.max_trip_at->si;
  const double within = device.max_trip_within->si;
  return {{hold, 0.0, INFINITY}, {at, 0.0, INFINITY}, {at, 0.0, within}, {2.0 * at, 0.0, within}};
}

struct ProtectedLoad {
  std::string name;
  double current = 0.0;
  std::optional<desk::TripInterval> trip = {};
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
    worst = ProtectedLoad{output.name + " alone, stalled", stall.supply_current.si, {}};
    if (stall.first_to_open == protection) worst->trip = stall.trip;
  }
  return worst;
}

// The heaviest loads, heaviest first; nearly the same current shares a line.
std::vector<ProtectedLoad> loads_of(const Robot& robot, const DeskReport& report, std::size_t protection) {
  constexpr std::size_t most_lines = 4;
  constexpr double nearly = 1.03;
  std::vector<ProtectedLoad> loads;
  for (const auto& c : report.cases) {
    if (c.unsolved || c.protections[protection].current.si <= 0.05) continue;
    loads.push_back({c.name, c.protections[protection].current.si, {}});
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

// Where a stalled motor's current meets the curve.
void mark_trip(const ProtectedLoad& load, Panel& panel) {
  if (!load.trip) return;
  const auto& trip = *load.trip;
  const bool opens = std::isfinite(trip.latest.si);
  const double at = opens ? trip.latest.si : trip.earliest.si;
  if (!std::isfinite(at) || at <= *panel.y.from) return;
  panel.marks.push_back({fmt::format("stalled, it opens {}{}", opens ? "within " : "after ", shown(Measure::time, at)) +
                             (opens ? "" : " at the earliest, if at all"),
                         {load.current, at}});
}

}  // namespace

std::optional<Plot> protection_plot(const Robot& robot, const DeskReport& report, std::size_t index) {
  const auto& p = robot.protections[index];
  const auto* device = robot.device_of(p.device).as<robot::ProtectionDevice>();
  if (device == nullptr) return std::nullopt;
  const bool resettable = device->limits.empty() && device->kind == robot::ProtectionKind::resettable;
  if (device->limits.empty() && !resettable) return std::nullopt;
  Panel panel{{"time to open", "s", chart::Scale::logarithmic, 0.01, 1e5}};
  panel.height = 95.0;
  panel.bands = {resettable
                     ? chart::Band{"opens within this area: hold and trip of the sheet", held_and_tripped(*device)}
                     : chart::Band{"opens within this area: published limits, stepwise", stepwise(*device)}};
  double most = panel.bands.front().points.back().x / (resettable ? 1.0 : 2.0);
  double least = 0.5 * device->rating.si;
  for (const auto& load : loads_of(robot, report, index)) {
    panel.levels.push_back(
        {fmt::format("{}: {:.3g} A", load.name, load.current), load.current, chart::Direction::vertical});
    mark_trip(load, panel);
  }
  panel.levels.push_back({fmt::format("{} {:.3g} A", resettable ? "holds" : "rating", device->rating.si),
                          device->rating.si, chart::Direction::vertical});
  if (resettable) {
    panel.levels.push_back(
        {fmt::format("trips at {:.3g} A", device->trip.si), device->trip.si, chart::Direction::vertical});
  }
  for (const auto& level : panel.levels) {
    most = std::max(most, 1.1 * level.value);
    least = std::min(least, 0.9 * level.value);
  }
  const Figure figure{fmt::format("{}: {}, when does it open?", p.name, p.device),
                      note_of(resettable ? "trip.resettable" : "trip.catalogue") +
                          " Dotted: the load cases' currents, and the heaviest motor behind it stalled. " +
                          invented(robot),
                      {"current", "A", chart::Scale::logarithmic, least, most},
                      {panel}};
  return Plot{"protection_" + p.name, draw(figure).svg};
}

}  // namespace ringout::cli
