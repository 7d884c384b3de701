// A worn, nearly empty battery under the bumps' own load: nobody touches anything, the supply sags by itself to the
// board's limit in mid bump. Outputs are off, the cause and the way out are said, what was found until then is kept.
#include <doctest/doctest.h>

#include "session/session.h"
#include "session/simulated_person.h"
#include "twin_bench.h"

namespace ringout::device_tests {
namespace {

plant::Deviations battery_of(double charge, double resistance_factor) {
  plant::Deviations worn;
  plant::Deviation d;
  d.kind = plant::DeviationKind::weak_battery;
  d.state_of_charge = charge;
  d.resistance_factor = resistance_factor;
  worn.all.push_back(d);
  return worn;
}

TEST_CASE("a worn battery sags below the board's limit in mid bump: stopped for safety, findings kept") {
  Bench bench = make_bench(battery_of(0.3, 60.0), Table::loaded);
  session::SimulatedPerson person(bench.twin->bystander());
  std::size_t recorded = 0;
  bool told = false;
  session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person};
  setup.observe = [&](const session::Event& event) {
    recorded += std::holds_alternative<session::BumpRecorded>(event) ? 1 : 0;
    told = told || std::holds_alternative<session::StoppedAll>(event);
  };
  session::Session session(setup);
  REQUIRE(session.open());
  const auto proving = session.prove({});
  REQUIRE(proving.ended_early);
  INFO(proving.ended_early->message);
  CHECK(proving.ended_early->id == "session.supply-fell");
  CHECK(exit_status(proving.ended_early->kind) == ExitStatus::stopped);
  CHECK(proving.ended_early->message.find("supply fell below the board's limit of 8.50 V") != std::string::npos);
  CHECK(proving.ended_early->message.find("V at its lowest") != std::string::npos);
  CHECK(proving.ended_early->hint.find("charge the battery") != std::string::npos);
  CHECK(told);

  // The bump that ended it was a bump cut short, and is evidence like those before it.
  REQUIRE(!proving.evidence.bumps.empty());
  CHECK(proving.evidence.bumps.size() == recorded);
  const capture::BumpRecord& last = proving.evidence.bumps.back();
  CHECK(last.cause == capture::EndCause::supply_low);
  CHECK(last.ended_us - last.started_us < 1000LL * last.command.duration_ms);

  // What was proved by hand before the motors is still proved.
  int by_hand = 0;
  for (const prove::Finding& f : proving.findings) {
    const bool hand = f.point == "lift_bottom" || f.point == "lift_top" || f.point == "tray_present";
    by_hand += hand && f.condition == prove::Condition::answers && f.confidence > 0.9 ? 1 : 0;
  }
  CHECK(by_hand == 3);
  CHECK(proving.agreement.rows.size() == bench.robot.outputs.size() + bench.robot.inputs.size());

  static_cast<void>(bench.twin->run_until(bench.twin->now() + Duration::milliseconds(500)));
  CHECK(bench.most_current() < 0.02);
  CHECK(bench.hard_stop_hits() == 0);
  CHECK(bench.twin->plant().truth().battery_volts > 8.5);  // without its load it is above the limit again
}

TEST_CASE("the same battery, less worn, sags without falling below the limit, and proving goes on") {
  Bench bench = make_bench(battery_of(0.3, 6.0), Table::loaded);
  session::SimulatedPerson person(bench.twin->bystander());
  session::Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  const auto readiness = session.ready(session::ReadyDepth::with_motion);
  CHECK_FALSE(readiness.ended_early);
  CHECK(readiness.steps.back().id == "load");
  CHECK(readiness.steps.back().verdict == session::StepVerdict::bad);
  CHECK(readiness.steps.back().remedy.find("age and charge") != std::string::npos);
  const auto proving = session.prove({});
  CHECK_FALSE(proving.ended_early);
  CHECK(proving.supply.weak);
  CHECK(proving.supply.rest_volts > proving.supply.loaded_volts);
  CHECK(proving.supply.loaded_volts >= proving.supply.lowest_volts);
  CHECK(proving.supply.lowest_volts > 8.5);
}

TEST_CASE("a nearly empty battery at rest is called low, with its charge") {
  Bench bench = make_bench(battery_of(0.1, 1.0), Table::loaded);
  session::SimulatedPerson person(bench.twin->bystander());
  session::Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  const auto readiness = session.ready(session::ReadyDepth::readings);
  REQUIRE(readiness.steps.size() > 1);
  const session::ReadyStep& supply = readiness.steps[1];
  CHECK(supply.id == "supply");
  CHECK(supply.verdict == session::StepVerdict::bad);
  INFO(supply.reading);
  const bool about_ten = supply.reading.find("low: about 10 % charge") != std::string::npos ||
                         supply.reading.find("low: about 9 % charge") != std::string::npos ||
                         supply.reading.find("low: about 8 % charge") != std::string::npos;
  CHECK(about_ten);
}

TEST_CASE("go/no-go ends at the first small load that the supply cannot bear, and says so") {
  Bench bench = make_bench(battery_of(0.9, 90.0), Table::loaded);
  session::SimulatedPerson person(bench.twin->bystander());
  session::Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  const auto readiness = session.ready(session::ReadyDepth::with_motion);
  CHECK_FALSE(readiness.go());
  REQUIRE(readiness.ended_early);
  CHECK(readiness.ended_early->id == "session.supply-fell");
}

}  // namespace
}  // namespace ringout::device_tests
