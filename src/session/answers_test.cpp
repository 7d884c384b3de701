#include "session/answers.h"

#include <doctest/doctest.h>

#include "robot/testing.h"
#include "session/answers_person.h"
#include "session/simulated_person.h"

namespace ringout::session {
namespace {

Answers answers_of(const std::string& text) {
  Diagnostics found;
  auto answers = read_answers(SourceText("bench.answers", text), found);
  REQUIRE(found.all().empty());
  REQUIRE(answers);
  return *answers;
}

class RecordingBystander : public plant::Bystander {
 public:
  std::vector<std::string> done;
  std::vector<plant::Seen> sight;

  Result<void> work_by_hand(const std::string& input, bool on) override {
    done.push_back(input + (on ? " on" : " off"));
    return {};
  }
  Result<void> open_disconnect(bool open) override {
    done.push_back(open ? "open" : "close");
    return {};
  }
  Result<std::vector<plant::Seen>> look() override { return std::exchange(sight, {}); }
};

const Question what_acted{
    .id = "acted.OUT4",
    .topic = Topic::what_acted,
    .text = "what acted?",
    .choices = {{"clamp+", "closes"}, {"clamp-", "opens"}, {"mist_pump", "mist"}, {"nothing", ""}}};

TEST_CASE("answers are read with comments, blanks and patterns") {
  Answers answers =
      answers_of("# bench\n\nacted.OUT4 = clamp+   # seen\r\nacted.* = nothing\nacted.OUT* = mist_pump\n");
  CHECK(answers.next("acted.OUT4")->answer == "clamp+");
  CHECK(answers.next("acted.OUT5")->answer == "mist_pump");
  CHECK(answers.next("acted.X")->answer == "nothing");
  CHECK_FALSE(answers.next("work.lift_top"));
}

TEST_CASE("an id on several lines is answered in their order, the last one for ever") {
  Answers answers = answers_of("a = 1\na = 2\n");
  CHECK(answers.next("a")->answer == "1");
  CHECK(answers.next("a")->answer == "2");
  CHECK(answers.next("a")->answer == "2");
}

TEST_CASE("lines that nothing asks of this robot, and answers that are no choice, are told before anything moves") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto told = [&](const std::string& line) {
    const SourceText text("bench.answers", "cautions = yes\n" + line + "\n");
    Diagnostics found;
    const auto answers = read_answers(text, found);
    REQUIRE(answers);
    check_answers(*answers, robot, text, found);
    if (found.all().empty()) return std::string();
    REQUIRE(found.all().size() == 1);
    CHECK(found.all().front().span.line == 2);
    return found.all().front().message + " | " + found.all().front().hint;
  };
  for (const char* right :
       {"acted.OUT4 = clamp-", "acted.* = mist_pump", "acted_back.OUT6 = nothing", "clearance.lift = yes",
        "work.range_ahead = cannot", "work.* = done", "turned.lift_encoder = lift+", "disconnect.* = done",
        "check.look_at_the_fuse = good", "trouble.symptom.clamp = nothing", "* = done", "t* = yes"}) {
    CAPTURE(right);
    CHECK(told(right).empty());
  }
  CHECK(told("acted.OUT4 = clamp").find("\"clamp\" is no answer to acted.OUT4 | write one of drive_left+, ") == 0);
  CHECK(told("acted.* = lamp").find("\"lamp\" is no answer to acted.* | ") == 0);
  CHECK(told("acted.OUT99 = nothing") == "nothing asks for acted.OUT99 | did you mean acted.OUT1?");
  CHECK(told("clarence.lift = yes") == "nothing asks for clarence.lift | did you mean clearance.lift?");
  CHECK(told("foo = bar") == "nothing asks for foo | docs/answers.md lists the ids");
}

TEST_CASE("what turns is answered with its way, whatever kind of point works it") {
  robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto accepted = [&](const std::string& line) {
    const SourceText text("bench.answers", line + "\n");
    Diagnostics found;
    const auto answers = read_answers(text, found);
    REQUIRE(answers);
    check_answers(*answers, robot, text, found);
    return found.all().empty();
  };
  CHECK(accepted("acted.OUT6 = mist_pump"));
  CHECK_FALSE(accepted("acted.OUT6 = mist_pump+"));
  const robot::Output clamp = *robot.output("clamp");
  for (robot::Output& o : robot.outputs) {
    if (o.name != "mist_pump") continue;
    o.device = clamp.device;
    o.mechanism = clamp.mechanism;
  }
  CHECK(accepted("acted.OUT6 = mist_pump+"));
  CHECK_FALSE(accepted("acted.OUT6 = mist_pump"));
}

TEST_CASE("all errors of an answers file come in one run, each with its place") {
  Diagnostics found;
  CHECK_FALSE(read_answers(SourceText("bench.answers", "good = yes\nno sign here\nbad id = x\nempty =\n= x\n"), found));
  REQUIRE(found.all().size() == 4);
  CHECK(found.all()[0].id == "answers.no-equals-sign");
  CHECK(found.all()[0].span.line == 2);
  CHECK(found.all()[1].id == "answers.bad-id");
  CHECK(found.all()[1].span.line == 3);
  CHECK(found.all()[2].id == "answers.no-answer");
  CHECK(found.all()[2].span.line == 4);
  CHECK(found.all()[3].span.line == 5);
}

TEST_CASE("a file that lacks an answer, or gives an impossible one, says where and what to write") {
  AnswersPerson lacks(answers_of("x = y\n"), nullptr);
  const auto missing = lacks.choose(what_acted);
  REQUIRE_FALSE(missing);
  CHECK(missing.error().kind == ErrorKind::bad_input);
  CHECK(missing.error().hint.find("acted.OUT4 = one of clamp+, clamp-, mist_pump, nothing") != std::string::npos);

  AnswersPerson wrong(answers_of("\nacted.OUT4 = wheel\n"), nullptr);
  const auto impossible = wrong.choose(what_acted);
  REQUIRE_FALSE(impossible);
  CHECK(impossible.error().message.find("bench.answers:2") != std::string::npos);
}

TEST_CASE("hand actions answered with done are carried out by the bystander") {
  RecordingBystander bystander;
  AnswersPerson person(answers_of("work.lift_top = done\nwork.tray = cannot\n"), &bystander);
  const HandAction press{.id = "work.lift_top", .hand = Hand::work_sensor, .point = "lift_top", .text = "press it"};
  REQUIRE(person.begin(press));
  CHECK(person.progress(press) == Progress::done);
  const HandAction tray{.id = "work.tray", .hand = Hand::work_sensor, .point = "tray_present", .text = "press it"};
  REQUIRE(person.begin(tray));
  CHECK(person.progress(tray) == Progress::cannot);
  CHECK(bystander.done == std::vector<std::string>{"lift_top on"});
}

TEST_CASE("cautions that are not acknowledged end the job as stopped for safety") {
  AnswersPerson person(answers_of("cautions = no\n"), nullptr);
  const auto refused = person.acknowledge({"hands away"});
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == ErrorKind::stopped);
}

TEST_CASE("the simulated person says what she saw since she began to watch") {
  RecordingBystander bystander;
  SimulatedPerson person(bystander);
  bystander.sight = {{.point = "clamp", .direction = 1, .amount = 0.1}};
  REQUIRE(person.begin({.id = "watch", .hand = Hand::watch, .point = "", .text = ""}));
  CHECK(*person.choose(what_acted) == "nothing");
  bystander.sight = {{.point = "lift", .direction = 1, .amount = 0.1},
                     {.point = "clamp", .direction = -1, .amount = 0.1}};
  CHECK(*person.choose(what_acted) == "clamp-");
  bystander.sight = {{.point = "mist_pump", .direction = 0, .amount = 0.2}};
  CHECK(*person.choose(what_acted) == "mist_pump");
}

}  // namespace
}  // namespace ringout::session
