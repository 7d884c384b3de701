#include "twin_bench.h"

#include <cmath>
#include <cstdio>

#include "base/check.h"
#include "prove/bump_plan.h"
#include "robot/fingerprint.h"

namespace ringout::device_tests {

double Bench::most_current() const {
  double most = 0.0;
  for (const plant::MotorTruth& motor : twin->plant().truth().motors) most = std::max(most, std::abs(motor.current));
  return most;
}

int Bench::hard_stop_hits() const {
  int hits = 0;
  for (const plant::MotorTruth& motor : twin->plant().truth().motors) hits += motor.hard_stop_hits;
  return hits;
}

std::vector<std::uint8_t> unproved_table(const robot::Robot& robot) {
  const prove::UnprovedBounds bounds = prove::plan_bumps(robot).bounds();
  const auto table = bind::point_table(robot, {.max_level_permille = bounds.max_level_permille,
                                               .max_duration_ms = bounds.max_duration_ms,
                                               .max_slope_permille_per_ms = bounds.max_slope_permille_per_ms});
  RINGOUT_CHECK(table.has_value());
  return bind::encode(*table);
}

Bench make_bench(const std::string& deviations, Table table, const std::string& program) {
  if (deviations.empty()) return make_bench(plant::Deviations{}, table, program);
  const SourceText text =
      robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/deviations/" + deviations + ".toml");
  Diagnostics found;
  const auto read = plant::read_deviations(text, found);
  for (const Diagnostic& d : found.all()) std::fputs(render(d, &text).c_str(), stderr);
  RINGOUT_CHECK(read.has_value());
  return make_bench(*read, table, program);
}

Bench make_bench(const plant::Deviations& deviations, Table table, const std::string& program) {
  return make_bench(robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR), deviations, table, program);
}

Bench make_bench(const robot::Robot& drawn, const plant::Deviations& deviations, Table table,
                 const std::string& program) {
  Bench bench;
  bench.robot = drawn;
  bench.deviations = deviations;
  twin::TwinOptions options;
  options.firmware = twin::firmware_for(bench.robot, bind::board_fingerprint(bench.robot.board));
  options.program = program;
  if (table == Table::loaded) options.eeprom = twin::eeprom_with_table(unproved_table(bench.robot));
  bench.twin = std::make_unique<twin::Twin>(bench.robot, bench.deviations, options);
  bench.line = std::make_unique<TwinLine>(*bench.twin);
  return bench;
}

}  // namespace ringout::device_tests
