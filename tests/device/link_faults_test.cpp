// What goes wrong on a bench: the cable out at every message, a supply that fails in mid bump, something else on the
// port, newer firmware, a person who lets go or interrupts. Outputs are off, the right kind of error is said, and what
// was found until then is kept.
#include <doctest/doctest.h>

#include <map>
#include <utility>

#include "link/flaky_stream.h"
#include "link/memory_stream.h"
#include "session/answers_person.h"
#include "session/session.h"
#include "session/simulated_person.h"
#include "twin_bench.h"

namespace ringout::device_tests {
namespace {

using session::Session;
using session::SimulatedPerson;

constexpr Duration ms(std::int64_t n) {
  return Duration::milliseconds(n);
}

// Time goes on without the host: the agent's own limits must turn everything off.
void check_outputs_off(Bench& bench) {
  static_cast<void>(bench.twin->run_until(bench.twin->now() + ms(1500)));
  CHECK(bench.most_current() < 0.02);
  CHECK(bench.hard_stop_hits() == 0);
}

TEST_CASE("the cable out at every message of a whole proving") {
  std::uint64_t messages = 0;
  std::size_t bumps_when_whole = 0;
  {
    Bench bench = make_bench("", Table::loaded);
    SimulatedPerson person(bench.twin->bystander());
    link::FlakyStream line(*bench.line, {}, 1);
    Session session({.robot = bench.robot, .stream = line, .person = person});
    REQUIRE(session.open());
    const auto proving = session.prove({});
    REQUIRE_FALSE(proving.ended_early);
    messages = line.writes();
    bumps_when_whole = proving.evidence.bumps.size();
  }
  REQUIRE(messages > 200);
  // Every message near the start, where each is of another kind; then every 149th, which meets every phase of a bump.
  // The very last only turns the samples off: by then nothing is to be lost.
  std::size_t kept_bumps = 0;
  std::size_t kept_findings = 0;
  for (std::uint64_t cut = 0; cut < messages - 1; cut += cut < 12 ? 1 : 149) {
    CAPTURE(cut);
    Bench bench = make_bench("", Table::loaded);
    SimulatedPerson person(bench.twin->bystander());
    link::FlakyStream line(*bench.line, {}, 1);
    line.pull_out_after_writes(cut);
    Session session({.robot = bench.robot, .stream = line, .person = person});
    const auto opened = session.open();
    if (!opened) {
      CHECK(opened.error().kind == ErrorKind::unreachable);
      continue;
    }
    const auto proving = session.prove({});
    REQUIRE(proving.ended_early);
    CHECK(proving.ended_early->kind == ErrorKind::unreachable);
    CHECK(exit_status(proving.ended_early->kind) == ExitStatus::unreachable);
    CHECK(!proving.ended_early->hint.empty());
    CHECK(proving.evidence.bumps.size() >= kept_bumps);  // a later cut never keeps less
    CHECK(proving.evidence.bumps.size() <= bumps_when_whole);
    CHECK(proving.agreement.rows.size() >= bench.robot.outputs.size() + bench.robot.inputs.size());
    kept_bumps = proving.evidence.bumps.size();
    kept_findings = 0;
    for (const prove::Finding& finding : proving.findings) {
      if (finding.condition != prove::Condition::untested) ++kept_findings;
    }
    check_outputs_off(bench);
  }
  CHECK(kept_bumps > 10);
  CHECK(kept_findings > 5);
}

TEST_CASE("a supply that sags to its limit in mid bump stops for safety and keeps what was found") {
  Bench bench = make_bench("", Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  int bumps = 0;
  {
    // The disconnect opens while a later bump is running: the supply collapses under the agent's eyes.
    Instant open_at{INT64_MAX / 2};
    bench.line->each_step = [&](Instant now) {
      if (now < open_at) return;
      open_at = Instant{INT64_MAX / 2};
      static_cast<void>(bench.twin->bystander().open_disconnect(true));
    };
    session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person};
    setup.observe = [&](const session::Event& event) {
      if (std::holds_alternative<session::BumpStarts>(event) && ++bumps == 6) open_at = bench.twin->now() + ms(60);
    };
    Session session(setup);
    REQUIRE(session.open());
    const auto proving = session.prove({});
    REQUIRE(proving.ended_early);
    CHECK(proving.ended_early->kind == ErrorKind::stopped);
    CHECK(proving.ended_early->message.find("supply") != std::string::npos);
    CHECK(proving.evidence.bumps.size() >= 5);
    CHECK(proving.hands.size() >= 3);
  }
  check_outputs_off(bench);
}

TEST_CASE("something else on the port, and nothing at all") {
  Bench bench = make_bench("", Table::none);
  SimulatedPerson person(bench.twin->bystander());
  link::MemoryStream line;
  SUBCASE("garbage without end") {
    line.on_beat = [&](Instant now) {
      std::vector<std::uint8_t> bytes(20);
      for (std::size_t i = 0; i < bytes.size(); ++i)
        bytes[i] = static_cast<std::uint8_t>(static_cast<std::uint64_t>(now.ns) / 7919 * (i + 3));
      line.arrive(bytes, Duration{});
    };
    Session session({.robot = bench.robot, .stream = line, .person = person});
    const auto readiness = session.ready(session::ReadyDepth::with_motion);
    REQUIRE(readiness.ended_early);
    CHECK(readiness.ended_early->id == "link.not-the-agent");
    REQUIRE(readiness.steps.size() == 1);
    CHECK(readiness.steps[0].verdict == session::StepVerdict::bad);
    CHECK(!readiness.steps[0].remedy.empty());
  }
  SUBCASE("silence") {
    Session session({.robot = bench.robot, .stream = line, .person = person});
    const auto opened = session.open();
    REQUIRE_FALSE(opened);
    CHECK(opened.error().id == "link.no-answer");
    CHECK(line.now() <= Instant{} + ms(3200));
  }
}

TEST_CASE("firmware of another build is refused where it matters, in words") {
  struct Case {
    const char* name;
    const char* step;
    std::function<void(twin::TwinFirmware&)> make;
  };
  const Case cases[] = {
      {"old firmware", "firmware", [](twin::TwinFirmware& f) { f.minor = 0; }},
      {"other board file", "firmware", [](twin::TwinFirmware& f) { f.board_fp ^= 1; }},
      {"other names", "program", [](twin::TwinFirmware& f) { f.program_fp ^= 1; }},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Bench bench = make_bench("", Table::none);
    twin::TwinOptions options;
    options.firmware = twin::firmware_for(bench.robot, bind::board_fingerprint(bench.robot.board));
    c.make(options.firmware);
    twin::Twin other(bench.robot, bench.deviations, options);
    TwinLine line(other);
    SimulatedPerson person(other.bystander());
    Session session({.robot = bench.robot, .stream = line, .person = person});
    const auto readiness = session.ready(session::ReadyDepth::readings);
    CHECK_FALSE(readiness.go());
    const auto step = std::find_if(readiness.steps.begin(), readiness.steps.end(),
                                   [&](const session::ReadyStep& s) { return s.id == c.step; });
    REQUIRE(step != readiness.steps.end());
    CHECK(step->verdict == session::StepVerdict::bad);
    CHECK(!step->remedy.empty());
    const auto proving = session.prove({});
    REQUIRE(proving.ended_early);
    CHECK(proving.ended_early->kind == ErrorKind::refused);
    if (std::string(c.step) == "program" || options.firmware.board_fp != bind::board_fingerprint(bench.robot.board)) {
      const auto loaded = session.load();
      REQUIRE_FALSE(loaded);
      CHECK(loaded.error().kind == ErrorKind::refused);
    }
  }
}

TEST_CASE("a controller with fewer inputs than the drawn board is told, and nothing is read from it") {
  Bench bench = make_bench("", Table::none);
  robot::Robot fewer = bench.robot;
  std::erase_if(fewer.inputs, [](const robot::Input& input) { return input.kind == robot::PointKind::encoder; });
  std::erase_if(fewer.board.ports, [](const robot::BoardPort& port) {
    return port.kind == robot::PortKind::encoder_input && port.index >= 2;
  });
  twin::TwinOptions options;
  options.firmware = twin::firmware_for(fewer, bind::board_fingerprint(fewer.board));
  twin::Twin other(fewer, bench.deviations, options);
  TwinLine line(other);
  SimulatedPerson person(other.bystander());
  Session session({.robot = bench.robot, .stream = line, .person = person});
  const auto readiness = session.ready(session::ReadyDepth::readings);
  CHECK_FALSE(readiness.ended_early);
  REQUIRE(readiness.steps.back().id == "inputs");
  CHECK(readiness.steps.back().verdict == session::StepVerdict::bad);
  CHECK(readiness.steps.back().reading.find("the controller has 2 encoder inputs, board ") == 0);
  const auto read = session.meters(Duration::milliseconds(100), [](const session::Meters&) { return false; });
  REQUIRE_FALSE(read);
  CHECK(read.error().id == "session.other-board");
}

// Lets go of the run control once, in mid bump, and asks to end the job after a number of looks.
class TiringPerson : public SimulatedPerson {
 public:
  TiringPerson(plant::Bystander& bystander, int ends_after) : SimulatedPerson(bystander), ends_after_(ends_after) {}
  [[nodiscard]] bool holding() override { return ++looks_ != 300; }
  [[nodiscard]] bool wants_to_end() override { return looks_ > ends_after_; }

 private:
  int looks_ = 0;
  int ends_after_;
};

TEST_CASE("an interrupt in the middle of proving keeps what was found and says so by its exit status") {
  Bench bench = make_bench("", Table::loaded);
  TiringPerson person(bench.twin->bystander(), 900);
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto proving = session.prove({});
  REQUIRE(proving.ended_early);
  CHECK(exit_status(proving.ended_early->kind) == ExitStatus::interrupted);
  CHECK(!proving.evidence.bumps.empty());
  check_outputs_off(bench);
}

// What looks like real hardware to the session.
class HardwareLine : public TwinLine {
 public:
  using TwinLine::TwinLine;
  [[nodiscard]] link::StreamKind kind() const override { return link::StreamKind::hardware; }
};

TEST_CASE("on hardware nothing moves without a hold-to-run control") {
  Bench bench = make_bench("", Table::loaded);
  HardwareLine line(*bench.twin);
  Diagnostics found;
  const auto answers = session::read_answers(SourceText("all.answers", "cautions = yes\n"), found);
  REQUIRE(answers);
  session::AnswersPerson person(*answers, &bench.twin->bystander());
  Session session({.robot = bench.robot, .stream = line, .person = person});
  REQUIRE(session.open());
  const auto proving = session.prove({});
  REQUIRE(proving.ended_early);
  CHECK(proving.ended_early->id == "session.hold-to-run-needed");
  CHECK(proving.ended_early->kind == ErrorKind::bad_input);
  const auto jogged = session.jog({.output = "lift", .level = 0.1});
  REQUIRE_FALSE(jogged);
  CHECK(jogged.error().id == "session.hold-to-run-needed");
  const auto ran = session.run({});
  REQUIRE_FALSE(ran);
  CHECK(bench.most_current() < 0.02);
}

TEST_CASE("what the controller has latched is said before it is cleared") {
  Bench bench = make_bench("", Table::loaded);
  bench.twin->reset(wire::ResetCause::watchdog);
  SimulatedPerson person(bench.twin->bystander());
  std::string noticed;
  session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person};
  setup.observe = [&](const session::Event& event) {
    if (const auto* notice = std::get_if<session::Notice>(&event)) noticed += notice->text + "\n";
  };
  Session session(setup);
  REQUIRE(session.open());
  REQUIRE(session.jog({.output = "belt", .level = 0.1}));
  CHECK(noticed.find("latched by the controller before: watchdog reset\n") != std::string::npos);
}

TEST_CASE("a bad disconnect forbids every motion") {
  Bench bench = make_bench("", Table::loaded);
  // A file that says "done" while nobody is there to open anything.
  Diagnostics found;
  const auto answers = session::read_answers(
      SourceText("all.answers", "cautions = yes\ndisconnect.* = done\nclearance.* = yes\nwork.* = cannot\n"), found);
  REQUIRE(answers);
  session::AnswersPerson person(*answers, nullptr);
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const auto jogged = session.jog({.output = "lift", .level = 0.1});
  REQUIRE_FALSE(jogged);
  CHECK(jogged.error().id == "session.disconnect-not-proved");
  CHECK(jogged.error().kind == ErrorKind::stopped);
  CHECK(bench.most_current() < 0.02);
}

TEST_CASE("a lead that comes and goes is named where it ends the bumps of other ports") {
  plant::Deviations deviations;
  deviations.start = {{"clamp", 0.087}};  // rad: far from what an open lead reads
  deviations.all = {{.kind = plant::DeviationKind::intermittent_wire,
                     .points = {"clamp_position"},
                     .fraction = 0.3,
                     .mean_open_s = 0.02}};
  Bench bench = make_bench(deviations, Table::loaded);
  SimulatedPerson person(bench.twin->bystander());
  std::string noticed;
  session::Setup setup{.robot = bench.robot, .stream = *bench.line, .person = person};
  setup.observe = [&](const session::Event& event) {
    if (const auto* notice = std::get_if<session::Notice>(&event)) noticed += notice->text + "\n";
  };
  Session session(setup);
  REQUIRE(session.open());
  const auto proving = session.prove({});
  INFO((proving.ended_early ? proving.ended_early->message : ""));
  CHECK_FALSE(proving.ended_early);
  CAPTURE(noticed);
  CHECK(noticed.find("the reading of clamp_position comes and goes while nothing moves") != std::string::npos);
}

// Every other order of a bump is lost on it.
class LosingLine : public TwinLine {
 public:
  using TwinLine::TwinLine;
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override {
    constexpr std::size_t type_at = 1;  // behind the first byte of the framing
    if (bytes.size() > type_at && bytes[type_at] == wire::type_bump && ++orders % 2 == 1) return {};
    return TwinLine::write(bytes);
  }
  int orders = 0;
};

TEST_CASE("bumps whose orders the line lost are made up for, and no port is bumped more often for it") {
  const auto bumps_of = [](bool losing) {
    Bench bench = make_bench("connector_repair", Table::loaded);
    LosingLine line(*bench.twin);
    SimulatedPerson person(bench.twin->bystander());
    link::TimedStream& stream = losing ? static_cast<link::TimedStream&>(line) : *bench.line;
    Session session({.robot = bench.robot, .stream = stream, .person = person});
    REQUIRE(session.open());
    const auto proving = session.prove({});
    INFO((proving.ended_early ? proving.ended_early->message : ""));
    CHECK_FALSE(proving.ended_early);
    std::map<std::pair<int, bool>, int> made;  // by bridge and way
    for (const capture::BumpRecord& bump : proving.evidence.bumps)
      ++made[{bump.command.bridge, bump.command.level_permille > 0}];
    return made;
  };
  auto whole = bumps_of(false);
  auto losing = bumps_of(true);
  // The very first order counts as done: a controller that has made no bump yet cannot say that it was lost. Its port
  // has no room left for the pair that is looked at.
  for (const bool out : {true, false}) {
    const auto first = std::make_pair(0, out);
    CHECK(whole[first] - losing[first] == 1);
    whole.erase(first);
    losing.erase(first);
  }
  CHECK(losing == whole);
}

TEST_CASE("proving over a line that damages some bytes comes to the same findings") {
  const auto proved = [](double damage) {
    Bench bench = make_bench("connector_repair", Table::loaded);
    SimulatedPerson person(bench.twin->bystander());
    link::FlakyStream line(*bench.line, link::LineDamage::of_each(damage), 9);
    Session session({.robot = bench.robot, .stream = line, .person = person});
    REQUIRE(session.open());
    auto proving = session.prove({});
    INFO((proving.ended_early ? proving.ended_early->message : ""));
    CHECK_FALSE(proving.ended_early);
    CHECK((line.damaged_bytes() > 100) == (damage > 0.0));
    CHECK(bench.hard_stop_hits() == 0);
    return proving.findings;
  };
  const std::vector<prove::Finding> whole = proved(0.0);
  const std::vector<prove::Finding> damaged = proved(0.0001);
  REQUIRE(whole.size() == damaged.size());
  for (std::size_t i = 0; i < whole.size(); ++i) {
    CAPTURE(whole[i].point);
    CHECK(damaged[i].point == whole[i].point);
    CHECK(damaged[i].found_port == whole[i].found_port);
    CHECK(damaged[i].condition == whole[i].condition);
    CHECK(damaged[i].sign == whole[i].sign);
  }
}

}  // namespace
}  // namespace ringout::device_tests
