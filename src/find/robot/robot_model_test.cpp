#include "find/robot/robot_model.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "find/find.h"
#include "find/robot/testing.h"
#include "plant/deviations.h"
#include "robot/testing.h"
#include "tests/golden.h"

using namespace ringout;
using namespace ringout::faults;

namespace {

const robot::Robot& demonstration() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}
const FaultRows& rows() {
  static const FaultRows shipped = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  return shipped;
}

std::vector<Trouble> all_troubles(const robot::Robot& robot) {
  std::vector<Trouble> all;
  for (const auto& o : robot.outputs) {
    for (const Symptom s : symptoms_of(o.kind)) all.push_back({o.name, s});
  }
  for (const auto& i : robot.inputs) {
    for (const Symptom s : symptoms_of(i.kind)) all.push_back({i.name, s});
  }
  all.push_back({"", Symptom::nothing_answers});
  return all;
}

// The caution of the hand's work in question, not just any.
void check_caution(const RepairOrigin& repair, const std::string& caution) {
  CAPTURE(repair.name);
  const auto says = [&](const char* words) { return caution.find(words) != std::string::npos; };
  const bool at_battery = repair.name == "battery supply wire" || repair.name == "main_breaker supply wire";
  if (at_battery) CHECK(says("Unplug the battery first"));
  if (repair.kind == RepairKind::reset) CHECK(says("people clear"));
  if (repair.kind == RepairKind::renew && repair.part == PartKind::fuse) CHECK(says("same rating"));
  if (repair.point == "lift" && repair.discipline != robot::Discipline::programming) CHECK(says("can fall"));
}

void check_whole(const RobotModel& m) {
  for (const find::Problem& p : find::problems(m.model)) FAIL_CHECK(p.message);
  REQUIRE(m.faults.size() == m.model.modes.size());
  REQUIRE(m.checks.size() == m.model.observations.size());
  REQUIRE(m.repairs.size() == m.model.repairs.size());
  std::set<std::string> names;
  for (const find::Part& p : m.model.parts) CHECK(names.insert(p.name).second);
  for (const FaultOrigin& f : m.faults) {
    CAPTURE(f.text);
    CHECK_FALSE(f.text.empty());
    CHECK_FALSE(f.change.empty());
    CHECK_FALSE(f.proof.empty());
    CHECK_FALSE(f.source.empty());
    CHECK(f.at.line > 0);
    CHECK(f.owner == (f.discipline == robot::Discipline::wiring        ? "Wim"
                      : f.discipline == robot::Discipline::programming ? "Petra"
                                                                       : "Mira"));
  }
  names.clear();
  for (find::Index i = 0; i < m.checks.size(); ++i) {
    const find::Observation& o = m.model.observations[i];
    CAPTURE(o.name);
    CHECK(names.insert(o.name).second);
    CHECK_FALSE(o.instructions.empty());
    CHECK(m.checks[i].outcomes.size() == o.outcomes.size());
    CHECK(m.checks[i].outcomes.front() == Shown::as_should);
    // What may move, and whatever hands do, carries its caution.
    if (m.checks[i].witness != Witness::bench || m.checks[i].moves == Moves::yes) CHECK_FALSE(o.caution.empty());
  }
  std::set<find::Index> mended;
  for (const find::Repair& r : m.model.repairs) {
    CHECK_FALSE(r.instructions.empty());
    CHECK_FALSE(r.caution.empty());
    for (const find::Mend& x : r.mends) mended.insert(x.mode);
  }
  for (find::Index r = 0; r < m.repairs.size(); ++r) check_caution(m.repairs[r], m.model.repairs[r].caution);
  CHECK(mended.size() == m.model.modes.size());
  CHECK(m.model.call_cost.has_value());
}

}  // namespace

TEST_CASE("whatever is complained of on the demonstration robot, its model is whole") {
  for (const Trouble& t : all_troubles(demonstration())) {
    CAPTURE(t.point);
    CAPTURE(name_of(t.symptom));
    const RobotModel m = robot_model(demonstration(), rows(), {{t}});
    check_whole(m);
    CHECK(m.model.symptoms.size() == 1);
    CHECK(m.notes.empty());
  }
}

TEST_CASE("a robot of 500 points, and all of them complained of") {
  const robot::Robot large = robot::testing::repeated(demonstration(), 500);
  Complaint complaint;
  for (const auto& o : large.outputs) complaint.troubles.push_back({o.name, Symptom::nothing});
  const RobotModel m = robot_model(large, rows(), complaint);
  check_whole(m);
  CHECK(m.model.symptoms.size() == complaint.troubles.size());
  CHECK_FALSE(m.notes.empty());
  check_whole(robot_model(large, rows(), {{{"clamp_7", Symptom::nothing}}}));
}

TEST_CASE("every injection is a deviation that the simulated robot can have") {
  std::set<std::string> kinds;
  for (const Trouble& t : all_troubles(demonstration())) {
    for (const FaultOrigin& f : robot_model(demonstration(), rows(), {{t}}).faults) {
      const Injection& in = f.injection;
      if (in.kind.empty()) continue;
      kinds.insert(in.kind);
      std::string text = "robot = \"robot.toml\"\n[[deviation]]\nkind = \"" + in.kind + "\"\n";
      std::string points;
      for (const std::string& p : in.points) points += (points.empty() ? "\"" : ", \"") + p + "\"";
      if (!points.empty()) text += "points = [" + points + "]\n";
      if (!in.part.empty()) text += "part = \"" + in.part + "\"\n";
      if (!in.port.empty()) text += "port = \"" + in.port + "\"\n";
      if (!in.device.empty()) text += "device = \"" + in.device + "\"\n";
      if (!in.channel.empty()) text += "channel = \"" + in.channel + "\"\n";
      if (in.kind == "weak_battery") text += in.amount ? "state_of_charge = 0.05\n" : "resistance_factor = 6\n";
      if (in.kind == "stale_table" || in.kind == "other_program") text += "file = \"earlier.toml\"\n";
      const SourceText source("injected.toml", text);
      Diagnostics found;
      const auto deviations = plant::read_deviations(source, found);
      if (deviations) plant::check_deviations(*deviations, demonstration(), source, found);
      CAPTURE(f.text);
      for (const Diagnostic& d : found.all()) FAIL_CHECK(render(d, &source));
    }
  }
  CHECK(kinds.size() >= 20);
}

TEST_CASE("what the bench cannot sense or drive is not asked of it") {
  robot::Robot robot = demonstration();
  for (robot::BoardBank& bank : robot.board.banks) bank.sense_adc.reset();
  robot.board.usb_powered = false;
  robot::Output servo = *robot.output("mist_pump");
  servo.name = "flap";
  servo.kind = robot::PointKind::servo;
  servo.device = "small_servo_5v";
  servo.port = "SERVO1";
  robot.outputs.push_back(servo);
  for (const Trouble& t : all_troubles(robot)) {
    CAPTURE(t.point);
    CAPTURE(name_of(t.symptom));
    const RobotModel m = robot_model(robot, rows(), {{t}});
    check_whole(m);
    for (const CheckOrigin& c : m.checks) {
      if (c.kind != CheckKind::bump) continue;
      CHECK(c.point != "flap");
      CHECK(std::find(c.outcomes.begin(), c.outcomes.end(), Shown::other_device) == c.outcomes.end());
    }
  }
}

TEST_CASE("an exchange is one part for each pair, wherever it is seen from") {
  const RobotModel m =
      robot_model(demonstration(), rows(), {{{"clamp", Symptom::nothing}, {"mist_pump", Symptom::another_acts}}});
  CHECK(std::count_if(m.faults.begin(), m.faults.end(), [](const FaultOrigin& f) {
          return f.mode == Mode::exchanged && f.part == "clamp and mist_pump";
        }) == 1);
  check_whole(m);
}

TEST_CASE("a lead that sits on a free port may sit on any of them: none is named alone or to be written") {
  robot::Robot robot = demonstration();
  const auto lift_or_clamp = [](const std::string& name) { return name == "lift" || name == "clamp"; };
  std::erase_if(robot.outputs, [&](const robot::Output& o) { return lift_or_clamp(o.name); });
  std::erase_if(robot.inputs, [&](const robot::Input& i) { return lift_or_clamp(i.senses_output); });
  const RobotModel m = robot_model(robot, rows(), {{{"warning_lamp", Symptom::nothing}}});
  const auto moved = std::find_if(m.faults.begin(), m.faults.end(), [](const FaultOrigin& f) {
    return f.mode == Mode::moved && f.point == "warning_lamp";
  });
  REQUIRE(moved != m.faults.end());
  CHECK(moved->text == "the lead of warning_lamp sits on a free port (OUT3, OUT4 or OUT8)");
  CHECK(moved->change.find("OUT") == std::string::npos);
  CHECK(moved->injection.port == "OUT3");  // a trial's fault sits on one port
}

TEST_CASE("what cannot be complained of is said") {
  CHECK(complaint_problems(demonstration(), {{{"clamp", Symptom::nothing}}}).empty());
  CHECK(complaint_problems(demonstration(), {}) == std::vector<std::string>{"nothing is complained of"});
  CHECK(complaint_problems(demonstration(), {{{"clmp", Symptom::nothing}}}) ==
        std::vector<std::string>{"the robot file has no point 'clmp'"});
  CHECK(complaint_problems(demonstration(), {{{"lift_top", Symptom::weak}}}) ==
        std::vector<std::string>{"'is weak or slow' cannot be said of 'lift_top'"});
  CHECK(complaint_problems(demonstration(), {{{"clamp", Symptom::weak}, {"clamp", Symptom::stops}}}).size() == 1);
}

TEST_CASE("where no controller answers, a person makes what she can of the bench's checks") {
  for (const Trouble& t : {Trouble{"clamp", Symptom::nothing}, Trouble{"lift_top", Symptom::unchanging},
                           Trouble{"left_encoder", Symptom::reads_wrong}, Trouble{"", Symptom::nothing_answers}}) {
    const RobotModel m = robot_model(demonstration(), rows(), {{t}}, Controller::none);
    CAPTURE(t.point);
    CHECK(find::problems(m.model).empty());
    std::set<CheckKind> hers;
    for (find::Index i = 0; i < m.checks.size(); ++i) {
      const CheckOrigin& c = m.checks[i];
      if (c.witness == Witness::bench || c.kind == CheckKind::watch_bump || c.kind == CheckKind::work_sensor) continue;
      hers.insert(c.kind);
      const find::Observation& o = m.model.observations[i];
      CAPTURE(o.name);
      CHECK(o.instructions.find("bench") == std::string::npos);
      if (c.kind == CheckKind::complaint) continue;
      CHECK_FALSE(o.caution.empty());
      CHECK(o.cost >= 1.0 / 3.0);  // nobody reads a meter in a second
      CHECK_FALSE(m.outcome_of(i, Shown::no_link));
      CHECK_FALSE(m.outcome_of(i, Shown::refused));
    }
    CHECK(hers.contains(CheckKind::look_controller));
    if (!t.point.empty()) CHECK(hers.contains(CheckKind::supply_under_load));
    if (t.point == "clamp") CHECK(hers.contains(CheckKind::program_value));
    if (t.point == "lift_top") CHECK(hers.contains(CheckKind::inputs_at_rest));
    if (t.point == "lift_top" || t.point == "left_encoder") CHECK(hers.contains(CheckKind::meter_signal));
    const RobotModel linked = robot_model(demonstration(), rows(), {{t}});
    for (const CheckOrigin& c : linked.checks) {
      CHECK(c.kind != CheckKind::look_controller);
      CHECK(c.kind != CheckKind::meter_signal);
    }
  }
}

TEST_CASE("the derived model of the demonstration's story") {
  const RobotModel m = robot_model(demonstration(), rows(), {{{"clamp", Symptom::nothing}}});
  std::string out = m.model.name + "\n\nfaults: prior, where in the robot file, who, what\n";
  for (find::Index i = 0; i < m.faults.size(); ++i) {
    const FaultOrigin& f = m.faults[i];
    out += fmt::format("{:8.4f} {:4} {:5} {}\n", m.model.modes[i].prior, f.at.line, f.owner, f.text);
  }
  out += "\nchecks: minutes, line of the fixed order, faults seen, outcomes\n";
  for (find::Index i = 0; i < m.checks.size(); ++i) {
    const find::Observation& o = m.model.observations[i];
    out += fmt::format("{:6.2f} {} {:3} {}:", o.cost, o.line, o.effects.size(), o.name);
    for (std::size_t k = 0; k < m.checks[i].outcomes.size(); ++k) {
      const std::string& where = m.checks[i].where[k];
      out += fmt::format(" {},", where.empty() ? name_of(m.checks[i].outcomes[k]) : where);
    }
    out.back() = '\n';
  }
  out += "\nrepairs: minutes, faults mended, place\n";
  for (find::Index i = 0; i < m.repairs.size(); ++i) {
    const find::Repair& r = m.model.repairs[i];
    out += fmt::format("{:5.1f} {} {} ({})\n", r.cost, r.mends.size(), r.name, m.repairs[i].place);
  }
  ringout::testing::check_golden("find/derived_model.txt", out);
}
