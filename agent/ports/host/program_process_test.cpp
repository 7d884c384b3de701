#include "agent/ports/host/program_process.h"

#include <doctest/doctest.h>

#include <map>
#include <string>
#include <vector>

using ringout::ProgramProcess;
using State = ProgramProcess::State;

namespace {

// Keeps what the program did and lets a test set what it reads.
class Recorder : public ringout::ProgramCalls {
 public:
  void set_level(std::uint8_t point, float level) override { levels[point] = level; }
  float read_value(std::uint8_t point) override { return inputs[point]; }
  void all_off() override { levels.clear(); }
  void name_step(const char* name) override { steps.emplace_back(name); }
  void stands_at(std::uint16_t at, ringout::runner::Wait kind, std::uint8_t point) override {
    line = at;
    wait = kind;
    wait_point = point;
  }

  std::map<int, float> levels;
  std::map<int, float> inputs;
  std::vector<std::string> steps;
  std::uint16_t line = 0;
  ringout::runner::Wait wait = ringout::runner::Wait::nothing;
  std::uint8_t wait_point = 0;
};

std::string program(const std::string& name) {
  return std::string(RINGOUT_BINARY_DIR) + "/agent/ports/host/program_" + name;
}

}  // namespace

TEST_CASE("the program's points are known before it begins") {
  ProgramProcess process;
  REQUIRE(process.open(program("waits")) == State::ready);
  CHECK(process.fingerprint() == 0x0A0B0C0DU);
  REQUIRE(process.points().size() == 4);
  CHECK(std::string(process.points()[0].name) == "lift");
  CHECK(process.points()[3].kind == ringout::PointKind::switch_input);
}

TEST_CASE("what is no program is refused with the reason") {
  ProgramProcess process;
  CHECK(process.open("/no/such/program") == State::absent);
  CHECK(process.problem() == "/no/such/program: No such file or directory");
  CHECK(process.open("/bin/true") == State::absent);
  CHECK(process.problem() == "/bin/true: not a robot program built for the twin");
}

TEST_CASE("virtual time passes only while the program waits") {
  ProgramProcess process;
  Recorder agent;
  REQUIRE(process.open(program("waits")) == State::ready);
  REQUIRE(process.go());

  process.tick(agent);  // step, set, then dwell(20)
  CHECK(agent.steps == std::vector<std::string>{"raise"});
  CHECK(agent.levels[0] == doctest::Approx(0.5));
  CHECK(agent.wait == ringout::runner::Wait::time);
  const std::uint16_t dwell_line = agent.line;
  CHECK(dwell_line == 9);
  for (int i = 0; i < 19; ++i) process.tick(agent);
  CHECK(agent.line == dwell_line);

  process.tick(agent);  // 20 ms later: until(encoder > 1, 50)
  CHECK(agent.line == 10);
  CHECK(agent.wait == ringout::runner::Wait::input);
  CHECK(agent.wait_point == 2);
  for (int i = 0; i < 10; ++i) process.tick(agent);
  CHECK(agent.line == 10);
  agent.inputs[2] = 1.5F;
  process.tick(agent);  // true: the lamp goes on, and it waits for a switch for 30 ms in vain
  CHECK(agent.levels[1] == 1.0F);
  CHECK(agent.line == 11);
  for (int i = 0; i < 29; ++i) CHECK(process.tick(agent) == State::running);
  CHECK(process.tick(agent) == State::ended);
  CHECK(agent.steps.back() == "in vain");
  CHECK(agent.levels.empty());
}

TEST_CASE("a wait of the longest time is no wait of none") {
  ProgramProcess process;
  Recorder agent;
  REQUIRE(process.open(program("patient")) == State::ready);
  REQUIRE(process.go());
  for (int i = 0; i < 500; ++i) REQUIRE(process.tick(agent) == State::running);
  CHECK(agent.wait == ringout::runner::Wait::input);
  CHECK(agent.steps.empty());
  agent.inputs[3] = 1.0F;
  for (int i = 0; i < 500; ++i) REQUIRE(process.tick(agent) == State::running);
  CHECK(agent.wait == ringout::runner::Wait::time);
  CHECK(agent.steps.empty());
}

TEST_CASE("a loop that only polls sees time pass") {
  ProgramProcess process;
  Recorder agent;
  REQUIRE(process.open(program("polls")) == State::ready);
  REQUIRE(process.go());
  for (int i = 0; i < 100; ++i) CHECK(process.tick(agent) == State::running);
  agent.inputs[3] = 1.0F;
  process.tick(agent);
  CHECK(process.tick(agent) == State::ended);
}

TEST_CASE("an endless loop without calls does not hold time up") {
  ProgramProcess process;
  Recorder agent;
  REQUIRE(process.open(program("hangs")) == State::ready);
  REQUIRE(process.go());
  CHECK(process.tick(agent) == State::hung);
  CHECK(agent.levels[0] == 1.0F);
  CHECK(process.tick(agent) == State::hung);
  process.stop();
  CHECK(process.state() == State::stopped);
}

TEST_CASE("a crash is told from an end") {
  ProgramProcess process;
  Recorder agent;
  REQUIRE(process.open(program("crashes")) == State::ready);
  REQUIRE(process.go());
  CHECK(process.tick(agent) == State::died);
}

TEST_CASE("a program can be stopped in the middle of a wait and started again") {
  ProgramProcess process;
  Recorder agent;
  for (int round = 0; round < 3; ++round) {
    REQUIRE(process.open(program("waits")) == State::ready);
    REQUIRE(process.go());
    process.tick(agent);
    CHECK(process.state() == State::running);
    process.stop();
    CHECK(process.state() == State::stopped);
    CHECK(process.tick(agent) == State::stopped);
  }
}
