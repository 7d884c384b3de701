// One scenario for each kind of deviation that the machine itself shows: every point's finding must be right, and the
// captured evidence, written and read back, must give the same findings.
#include <doctest/doctest.h>

#include <string>

#include "bench.h"
#include "capture/capture.h"
#include "judge.h"
#include "plant/as_built.h"
#include "prove/agreement.h"
#include "prove/hand_proof.h"
#include "robot/testing.h"
#include "session/session.h"

using namespace ringout;

namespace {

const robot::Robot& drawn() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}

plant::Deviations shipped(const std::string& name) {
  Diagnostics found;
  const auto text = robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/deviations/" + name + ".toml");
  auto deviations = plant::read_deviations(text, found);
  REQUIRE(deviations);
  plant::check_deviations(*deviations, drawn(), text, found);
  REQUIRE(!found.has_errors());
  return *deviations;
}

struct Outcome {
  scenarios::Proving proving;
  std::vector<prove::Finding> findings;
  std::vector<capture::HandRecord> hands;
  std::vector<scenarios::Mistake> mistakes;

  [[nodiscard]] const prove::Finding& of(const std::string& point) const {
    for (const prove::Finding& f : findings) {
      if (f.point == point) return f;
    }
    FAIL("no finding for " << point);
    return findings[0];
  }
};

Outcome run(const plant::Deviations& deviations) {
  Outcome out;
  scenarios::Bench bench(drawn(), deviations, deviations.seed);
  out.proving = scenarios::prove_all(bench, drawn(), session::ProveOptions{}.identify);
  for (const auto& request : prove::hand_requests(drawn())) out.hands.push_back(bench.work_by_hand(request.input));
  out.findings = out.proving.identification.findings;
  for (auto& f : prove::find_by_hand(drawn(), out.hands)) out.findings.push_back(f);
  out.mistakes = scenarios::judge(drawn(), plant::as_built(drawn(), deviations), bench, out.findings);
  return out;
}

// What a controller carries whose table was made from this robot file.
prove::Coded coded_as(const robot::Robot& robot) {
  prove::Coded coded;
  for (const auto& o : robot.outputs) {
    coded.points.push_back({o.name, o.kind, prove::CodedEntry{robot.port_of(o.port).index, o.reversed}});
  }
  for (const auto& i : robot.inputs) {
    coded.points.push_back({i.name, i.kind, prove::CodedEntry{robot.port_of(i.port).index, i.reversed}});
  }
  return coded;
}

prove::AgreementRow row_of(const prove::Agreement& agreement, const std::string& point) {
  for (const auto& row : agreement.rows) {
    if (row.point == point) return row;
  }
  FAIL("no row for " << point);
  return {};
}

}  // namespace

TEST_CASE("every kind of wrong wiring and every dead, worn or shorted part comes out right, at every point") {
  for (const char* name :
       {"connector_repair", "exchanged", "on_port", "leads_reversed", "channels_swapped", "channel_dead", "open_wire",
        "intermittent_wire", "blown_protection", "weak_battery", "dead_device", "wrong_device", "jammed",
        "end_switches_exchanged", "slipping", "stiff", "weak_device", "shorted_wire"}) {
    INFO(std::string(name));
    const Outcome out = run(shipped(name));
    for (const auto& m : out.mistakes) {
      FAIL_CHECK(std::string(name) << ": " << m.point << ": expected " << m.expected << ", got " << m.got);
    }
  }
}

TEST_CASE("a robot as drawn is proved at every point, once table and program are as drawn") {
  const Outcome out = run({});
  const auto agreement = prove::agree(drawn(), coded_as(drawn()), out.findings);
  for (const auto& row : agreement.rows) {
    CHECK_MESSAGE(row.verdict == prove::Verdict::proved, row.point << ": " << row.found << ", " << row.what_to_do);
  }
  CHECK(agreement.ready());
  CHECK(prove::corrected_wiring(drawn(), out.findings).empty());
  CHECK_FALSE(out.proving.identification.supply.weak);
}

TEST_CASE("the connector repair: who settles it, and what to write") {
  const Outcome out = run(shipped("connector_repair"));
  const auto agreement = prove::agree(drawn(), coded_as(drawn()), out.findings);
  CHECK(row_of(agreement, "clamp").verdict == prove::Verdict::disagrees);
  CHECK(row_of(agreement, "clamp").found == "OUT6");
  CHECK(row_of(agreement, "clamp").settled_by == robot::Discipline::wiring);
  CHECK(row_of(agreement, "clamp").person == "Wim");
  CHECK(row_of(agreement, "mist_pump").found == "OUT4");
  CHECK(row_of(agreement, "lift_top").found == "SW1");
  CHECK(row_of(agreement, "lift_bottom").found == "SW2");
  CHECK(row_of(agreement, "drive_left").verdict == prove::Verdict::proved);
  std::string lines;
  for (const auto& c : prove::corrected_wiring(drawn(), out.findings)) lines += c.point + ": " + c.line + "\n";
  CHECK(lines ==
        "clamp: port = \"OUT6\"\nmist_pump: port = \"OUT4\"\nlift_bottom: port = \"SW2\"\nlift_top: port = \"SW1\"\n");
}

TEST_CASE("a weak battery is found by its sag, and no point is accused for it") {
  const Outcome out = run(shipped("weak_battery"));
  CHECK(out.proving.identification.supply.weak);
  CHECK(out.mistakes.empty());
}

TEST_CASE("deviations of the controller: the table of another wiring, a program of other names") {
  const Outcome out = run({});
  SUBCASE("stale table") {
    prove::Coded coded = coded_as(drawn());
    std::swap(coded.points[3].entry, coded.points[4].entry);
    const auto row = row_of(prove::agree(drawn(), coded, out.findings), drawn().outputs[3].name);
    CHECK(row.verdict == prove::Verdict::disagrees);
    CHECK(row.settled_by == robot::Discipline::programming);
  }
  SUBCASE("other program") {
    prove::Coded coded = coded_as(drawn());
    coded.points[0].name = "propulsion_left";
    const auto agreement = prove::agree(drawn(), coded, out.findings);
    CHECK(row_of(agreement, drawn().outputs[0].name).coded == "not in the program");
    CHECK(row_of(agreement, "propulsion_left").drawn == "not drawn");
    CHECK(row_of(agreement, "propulsion_left").settled_by == robot::Discipline::programming);
  }
}

TEST_CASE("a capture of the proving replays to the same findings") {
  const Outcome out = run(shipped("connector_repair"));
  capture::Capture kept;
  kept.header = {.robot = drawn().name,
                 .board = drawn().board.name,
                 .table_fingerprint = 1,
                 .bridges = 8,
                 .encoders = 6,
                 .switches = 8,
                 .adc_channels = 8};
  for (const auto& bump : out.proving.evidence.bumps) capture::append_record(bump, kept.entries);
  for (const auto& hand : out.hands) capture::append_record(hand, kept.entries);
  Diagnostics found;
  const auto back = capture::read_capture(SourceText("capture", capture::write_capture(kept)), found);
  REQUIRE(back);
  CHECK(found.all().empty());
  prove::Evidence evidence;
  evidence.bumps = capture::bump_records(*back);
  evidence.looks = out.proving.evidence.looks;
  CHECK(evidence.bumps == out.proving.evidence.bumps);
  CHECK(capture::hand_records(*back) == out.hands);
  const auto again = prove::identify(drawn(), evidence, {});
  REQUIRE(again.findings.size() == out.proving.identification.findings.size());
  for (std::size_t i = 0; i < again.findings.size(); ++i) {
    CHECK(again.findings[i].evidence == out.proving.identification.findings[i].evidence);
    CHECK(again.findings[i].confidence == out.proving.identification.findings[i].confidence);
  }
}
