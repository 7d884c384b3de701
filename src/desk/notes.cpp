#include "desk/notes.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "desk/device_models.h"

namespace ringout::desk {
namespace {

void note(DeskReport& report, const char* id, Span place, std::string text, std::string remedy) {
  report.findings.push_back(
      {.rule = id, .severity = Severity::note, .place = place, .text = std::move(text), .remedy = std::move(remedy)});
}

// One note for all of them: which sensors and spare ports have tolerances is no news each by itself.
void note_idle(const robot::Robot& robot, DeskReport& report) {
  if (report.idle_tolerances.empty()) return;
  std::vector<std::string_view> paths;
  Span place;
  for (const std::size_t t : report.idle_tolerances) {
    const robot::Tolerance& tolerance = robot.tolerances[t];
    paths.push_back(tolerance.path);
    const bool in_robot_file = robot.text != nullptr && tolerance.file == robot.text->name();
    if (in_robot_file && place.line == 0) place = tolerance.place;
  }
  if (place.line == 0) place = robot.at.whole;
  note(report, "tolerance.moves-nothing", place,
       fmt::format("no figure of this check depends on the {} of {}", paths.size() == 1 ? "tolerance" : "tolerances",
                   fmt::join(paths, ", ")),
       "Nothing to do, unless one of them was meant to count: then look whether its part is used in a load case or "
       "duty cycle, and whether a row of its own takes its place.");
}

void note_derating(const robot::Robot& robot, DeskReport& report) {
  std::vector<Temperature> ambients = {robot.ambient};
  for (const CaseReport& c : report.cases) ambients.push_back(c.ambient);
  for (const robot::Protection& p : robot.protections) {
    const robot::Device* device = robot.catalogue.device(p.device);
    const auto* spec = device == nullptr ? nullptr : device->as<robot::ProtectionDevice>();
    if (spec == nullptr) continue;
    const std::vector<physics::AmbientFactor> table = derating_of(*spec);
    const auto outside = std::find_if(ambients.begin(), ambients.end(),
                                      [&](Temperature t) { return !table.empty() && !physics::covers(table, t); });
    if (outside == ambients.end()) continue;
    note(report, "protection.beyond-derating", p.at.of("device"),
         fmt::format("{} is looked at in {:.0f} °C; its sheet's factors reach from {:.0f} to {:.0f} °C, and the "
                     "nearest is used",
                     p.name, outside->si - 273.15, table.front().ambient.si - 273.15, table.back().ambient.si - 273.15),
         "Take its times to open there as a guess, or add the factor from its sheet to the catalogue.");
  }
}

}  // namespace

void add_notes(const robot::Robot& robot, DeskReport& report) {
  note_derating(robot, report);
  note_idle(robot, report);
}

}  // namespace ringout::desk
