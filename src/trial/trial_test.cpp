#include "trial/trial.h"

#include <doctest/doctest.h>

#include "find/robot/testing.h"
#include "robot/testing.h"
#include "trial/notice.h"
#include "trial/pool.h"

using namespace ringout;
using faults::Symptom;
using trial::Miscommand;

namespace {

const robot::Robot& carrier() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

const faults::FaultRows& rows() {
  static const faults::FaultRows r = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  return r;
}

std::string noticed(std::vector<plant::Deviation> deviations, const std::vector<Miscommand>& program = {}) {
  plant::Deviations all;
  all.all = std::move(deviations);
  std::string out;
  for (const faults::Trouble& t : trial::noticed(carrier(), all, program, 3))
    out += (out.empty() ? "" : ", ") + t.point + " " + std::string(faults::name_of(t.symptom));
  return out;
}

trial::TrialReport small_trial(unsigned threads, int faults) {
  trial::TrialSettings settings;
  settings.cases = 12;
  settings.faults = faults;
  settings.threads = threads;
  settings.effort.nodes = 50;
  settings.contenders = {{find::StrategyKind::best, false}, {find::StrategyKind::fixed_order, true}};
  return trial::run_trial(carrier(), rows(), settings, {});
}

}  // namespace

TEST_CASE("what somebody notices of a robot that is wrong, while its program works each point") {
  using plant::DeviationKind;
  CHECK(noticed({}).empty());
  CHECK(noticed({{.kind = DeviationKind::open_wire, .points = {"belt"}}}) == "belt nothing");
  CHECK(noticed({{.kind = DeviationKind::leads_reversed, .points = {"clamp"}}}) == "clamp wrong way");
  CHECK(noticed({{.kind = DeviationKind::exchanged, .points = {"clamp", "mist_pump"}}}) ==
        "clamp another acts, mist_pump another acts");
  CHECK(noticed({{.kind = DeviationKind::blown_protection, .part = "fuse_deck"}}) == "clamp nothing, belt nothing");
  CHECK(noticed({{.kind = DeviationKind::open_wire, .part = "resettable_controller"}}).find("lift nothing") !=
        std::string::npos);
  CHECK(noticed({{.kind = DeviationKind::intermittent_wire, .points = {"warning_lamp"}}}) == "warning_lamp stops");
  CHECK(noticed({{.kind = DeviationKind::intermittent_wire, .points = {"tray_present"}}}) ==
        "tray_present reads wrong");
  CHECK(noticed({{.kind = DeviationKind::jammed, .points = {"lift"}}}) == "lift nothing");
  CHECK(noticed({{.kind = DeviationKind::channels_swapped, .points = {"belt_encoder"}}}) == "belt_encoder reads wrong");
  CHECK(noticed({{.kind = DeviationKind::end_switches_exchanged, .points = {"lift"}}}) ==
        "lift_bottom unchanging, lift_top unchanging");
  CHECK(noticed({{.kind = DeviationKind::stuck, .points = {"tray_present"}}}) == "tray_present unchanging");
  CHECK(noticed({}, {{"belt", Miscommand::How::nothing}}) == "belt nothing");
  CHECK(noticed({}, {{"belt", Miscommand::How::wrong_sign}}) == "belt wrong way");
  CHECK(noticed({}, {{"warning_lamp", Miscommand::How::unasked}}) == "warning_lamp unasked");
}

TEST_CASE("everything that can be wrong is there once, and each model knows its own") {
  const trial::Pool pool = trial::pool_of(carrier(), rows());
  CHECK(pool.faults.size() > 150);
  const auto& about = pool.complained({"clamp", Symptom::nothing});
  for (const trial::TrueFault& f : pool.faults) {
    CAPTURE(f.name);
    CHECK(f.prior > 0.0);
    if (f.name == "clamp wire.open") CHECK(about.set_of({f})->size() == 1);
    if (f.name == "lift_top wire.open") CHECK(!about.set_of({f}));
  }
}

TEST_CASE("the same cases for all, on any number of threads; the engine leads to the fault") {
  for (const int faults : {1, 2}) {
    const trial::TrialReport one = small_trial(1, faults);
    const trial::TrialReport two = small_trial(2, faults);
    REQUIRE(one.cases.size() == 12);
    REQUIRE(two.cases.size() == 12);
    CHECK(one.unnoticed == two.unnoticed);
    for (std::size_t n = 0; n < one.cases.size(); ++n) {
      CHECK(one.cases[n].drawn.faults.size() == static_cast<std::size_t>(faults));
      for (std::size_t k = 0; k < 2; ++k) {
        CHECK(one.cases[n].followed[k].minutes == two.cases[n].followed[k].minutes);
        CHECK(one.cases[n].followed[k].steps == two.cases[n].followed[k].steps);
        CHECK(one.cases[n].followed[k].minutes > 0.0);
      }
      CHECK(one.cases[n].followed[1].bench_checks == 0);
    }
    CHECK(trial::summary(one, 0).found >= 0.9);
    CHECK(trial::summary(one, 0).minutes < trial::summary(one, 1).minutes);
  }
}
