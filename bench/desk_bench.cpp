// The desk check: the demonstration robot, ever larger generated robots (with the exponent of the growth), and the
// spread from tolerances. Processor time, best of several runs.
// Usage: ringout_desk_bench; ends with 1 where a target is missed.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <string>
#include <vector>

#include "desk/case_figures.h"
#include "desk/desk.h"
#include "desk/tolerance.h"
#include "robot/quantity_paths.h"
#include "robot/testing.h"

namespace {

using namespace ringout;

constexpr double wanted_check_ms = 30.0;   // of the whole process; the desk check is a part of it
constexpr double wanted_large_ms = 250.0;  // every figure with its range
constexpr double wanted_exponent = 1.05;   // linear, and what a measurement may stray
constexpr double wanted_draws_ms = 1000.0;
constexpr int draws = 10'000;

double processor_ms() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) * 1e3 + static_cast<double>(now.tv_nsec) * 1e-6;
}

template <class Work>
double best_ms(int runs, Work work) {
  double best = 1e300;
  for (int n = 0; n < runs; ++n) {
    const double before = processor_ms();
    work();
    best = std::min(best, processor_ms() - before);
  }
  return best;
}

bool within(const char* what, double value, const char* unit, double wanted) {
  std::printf("%-58s %9.2f %-3s (wanted: at most %g)%s\n", what, value, unit, wanted,
              value <= wanted ? "" : "  MISSED");
  return value <= wanted;
}

// What all copies share (battery, its wire, main protection, the controller's branch) carries current in proportion, so
// its resistance falls in proportion.
void strengthen_shared(const robot::Robot& from, double share, robot::Robot& large) {
  const auto shared = [&](const robot::Protection& p) {
    return p.fed_from == "battery" || p.name == from.board_fed_by;
  };
  large.battery.wire.length = large.battery.wire.length * share;
  large.board_wire.length = large.board_wire.length * share;
  for (robot::Protection& p : large.protections) {
    if (!shared(p)) continue;
    p.wire.length = p.wire.length * share;
    p.device += "_shared";
  }
  for (const robot::Protection& p : from.protections) {
    if (!shared(p)) continue;
    robot::Device stronger = from.device_of(p.device);
    stronger.name += "_shared";
    auto& device = std::get<robot::ProtectionDevice>(stronger.spec);
    device.cold = device.cold * share;
    device.rating = device.rating / share;
    device.trip = device.trip / share;
    large.catalogue.devices.push_back(stronger);
  }
  for (robot::Device& d : large.catalogue.devices) {
    auto* battery = std::get_if<robot::BatteryDevice>(&d.spec);
    if (battery == nullptr) continue;
    battery->internal = battery->internal * share;
    for (robot::InternalPoint& p : battery->internal_at) p.internal = p.internal * share;
    battery->capacity = battery->capacity / share;
  }
  // A tolerance stays the same share of its figure.
  robot::Robot before = from;
  for (robot::Tolerance& t : large.tolerances) {
    const double* was = robot::quantity_at(before, t.path);
    const double* is = robot::quantity_at(large, t.path);
    if (was != nullptr && is != nullptr && *was != 0.0) t.half_width *= *is / *was;
  }
}

robot::Robot generated(const robot::Robot& from, std::size_t points, std::size_t cases) {
  robot::Robot large = robot::testing::repeated(from, points);
  large.load_cases.clear();
  const double share = static_cast<double>(from.outputs.size()) / static_cast<double>(large.outputs.size());
  strengthen_shared(from, share, large);
  constexpr robot::Loading loadings[] = {robot::Loading::running, robot::Loading::off, robot::Loading::stalled,
                                         robot::Loading::running};
  for (std::size_t c = 0; c < cases; ++c) {
    robot::LoadCase made{.name = "case_" + std::to_string(c),
                         .description = "generated",
                         .state_of_charge = {},
                         .ambient = {},
                         .loads = {},
                         .at = {}};
    for (std::size_t o = 0; o < large.outputs.size(); ++o) {
      robot::OutputLoad load{.output = large.outputs[o].name, .loading = loadings[(o * 7 + c * 3) % 4], .at = {}};
      load.level = 0.5 + 0.5 * static_cast<double>((o + c) % 5) / 4.0;
      made.loads.push_back(load);
    }
    large.load_cases.push_back(made);
  }
  return large;
}

// Slope of the straight line through the logarithms.
double exponent(const std::vector<double>& x, const std::vector<double>& y) {
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  const auto n = static_cast<double>(x.size());
  for (std::size_t k = 0; k < x.size(); ++k) {
    const double lx = std::log(x[k]), ly = std::log(y[k]);
    sx += lx, sy += ly, sxx += lx * lx, sxy += lx * ly;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

bool measure_growth(const robot::Robot& demonstration) {
  std::vector<double> size, ms, without_draws;
  bool good = true;
  for (const auto& [points, cases] : {std::pair<std::size_t, std::size_t>{60, 20},
                                      {125, 20},
                                      {250, 10},
                                      {250, 20},
                                      {500, 10},
                                      {500, 20},
                                      {1000, 20},
                                      {500, 80}}) {
    const robot::Robot robot = generated(demonstration, points, cases);
    std::size_t unsolved = 0;
    const double took = best_ms(5, [&] {
      const desk::DeskReport report = desk::desk_check(robot);
      for (const desk::CaseReport& c : report.cases) unsolved += c.unsolved ? 1 : 0;
    });
    size.push_back(static_cast<double>(points * cases));
    ms.push_back(took);
    without_draws.push_back(best_ms(5, [&] { (void)desk::desk_check(robot, {.draws = 0}); }));
    std::printf("  %4zu points, %2zu load cases: %8.2f ms, of it %7.2f ms without the spread%s\n", points, cases, took,
                without_draws.back(), unsolved == 0 ? "" : " (cases without solution)");
    if (points == 500 && cases == 20)
      good &= within("desk check, 500 points and 20 load cases", took, "ms", wanted_large_ms);
  }
  good &= within("exponent of its growth with points times load cases", exponent(size, ms), "", wanted_exponent);
  return within("the same without the spread", exponent(size, without_draws), "", wanted_exponent) && good;
}

bool measure_draws(const robot::Robot& robot) {
  const desk::DeskReport report = desk::desk_check(robot, {.draws = 0});
  desk::CaseSolver solver(robot);
  const auto planned = desk::load_cases(robot, solver.layout());
  std::size_t figures = 0;
  const double took = best_ms(3, [&] {
    const auto spread = desk::spread_of(robot, solver.layout(), planned[report.by_severity.front()], {.draws = draws});
    figures = spread ? spread->figures.size() : 0;
  });
  std::printf("  %zu tolerances, %zu figures\n", robot.tolerances.size(), figures);
  return within("spread of the worst case, 10,000 draws", took, "ms", wanted_draws_ms) && figures > 0;
}

}  // namespace

int main() {
  const robot::Robot demonstration = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const double took = best_ms(20, [&] { (void)desk::desk_check(demonstration); });
  bool good = within("desk check of the demonstration robot, without reading", took, "ms", wanted_check_ms);
  good &= measure_growth(demonstration);
  good &= measure_draws(demonstration);
  return good ? 0 : 1;
}
