#include "bind/firmware_build.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>

#include "bind/point_table.h"
#include "bind/test_robot.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::bind;

namespace {

robot::Robot demonstration() {
  return robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
}

BuildRequest request(BuildFor target) {
  return {.target = target, .program = "team/program.cpp", .source_root = "/src", .out_folder = "out"};
}

bool has(const std::vector<std::string>& words, const std::string& word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

TEST_CASE("a firmware is built from the program, the agent and the bindings") {
  const auto plan = firmware_build(demonstration(), request(BuildFor::atmega2560));
  REQUIRE(plan);
  REQUIRE(plan->files.size() == 2);
  CHECK(plan->files[0].path == "out/board.hpp");
  CHECK(plan->files[1].path == "out/points.hpp");
  REQUIRE(plan->commands.size() == 2);
  CHECK(plan->commands[1] == std::vector<std::string>{"avr-objcopy", "-O", "ihex", "-R", ".eeprom",
                                                      "out/tray_carrier.elf", "out/tray_carrier.hex"});
  const auto& words = plan->commands[0];
  CHECK(words[0] == "avr-g++");
  for (const char* word : {"-mmcu=atmega2560", "-Iout", "-I/src", "team/program.cpp", "/src/agent/agent.cpp",
                           "/src/agent/program_points.cpp", "-Wl,-Map=out/tray_carrier.map"})
    CHECK_MESSAGE(has(words, word), word);
  CHECK(plan->product == "out/tray_carrier.elf");
  CHECK(plan->size_command == std::vector<std::string>{"avr-size", "out/tray_carrier.elf"});
}

TEST_CASE("every source of the firmware exists, and every agent source is in it") {
  auto here = request(BuildFor::atmega2560);
  here.source_root = RINGOUT_SOURCE_DIR;
  const auto plan = firmware_build(demonstration(), here);
  REQUIRE(plan);
  const std::string root = std::string(RINGOUT_SOURCE_DIR) + "/";
  for (const auto& word : plan->commands[0])
    if (word.rfind(root, 0) == 0) CHECK_MESSAGE(std::filesystem::exists(word), word);
  for (const std::string folder : {"agent", "agent/ports/avr_mega2560"}) {
    for (const auto& entry : std::filesystem::directory_iterator(root + folder)) {
      const std::string name = entry.path().filename().string();
      const bool tests_only = name.find("_test.cpp") != std::string::npos || name.rfind("bench_", 0) == 0;
      if (entry.path().extension() != ".cpp" || tests_only) continue;
      CHECK_MESSAGE(has(plan->commands[0], root + folder + "/" + name), name);
    }
  }
}

TEST_CASE("for the twin the program becomes a process") {
  const auto plan = firmware_build(demonstration(), request(BuildFor::twin));
  REQUIRE(plan);
  REQUIRE(plan->files.size() == 1);
  CHECK(plan->files[0].path == "out/points.hpp");
  CHECK(plan->commands[0][0] == "g++");
  CHECK(has(plan->commands[0], "/src/agent/ports/host/program_child.cpp"));
  CHECK(plan->product == "out/tray_carrier_program");
  CHECK(plan->size_command.empty());
}

TEST_CASE("a board whose pins the firmware does not know is refused for the chip only") {
  struct Case {
    const char* name;
    void (*change)(robot::Board&);
    const char* says;
  };
  const Case cases[] = {
      {"another chip", [](robot::Board& b) { b.chip = "other"; }, "needs an atmega2560"},
      {"another clock", [](robot::Board& b) { b.clock = hertz(8e6); }, "needs an atmega2560"},
      {"a moved bridge pin", [](robot::Board& b) { b.ports[0].pins[1] = "PC7"; }, "port OUT1 is on PE3 PC7 PK0"},
      {"an inverted bridge", [](robot::Board& b) { b.ports[2].inverted = true; }, "port OUT3 is inverted"},
      {"another drive", [](robot::Board& b) { b.ports[1].drive = robot::DriveMode::two_pwm; },
       "port OUT2 is not driven"},
      {"another divider", [](robot::Board& b) { b.supply_divider_ratio = 5.0; }, "through a divider by 5"},
      {"the supply on another channel", [](robot::Board& b) { b.supply_adc = 2; }, "reads the supply on ADC2"},
      {"another logic voltage", [](robot::Board& b) { b.logic = volts(3.3); }, "10 bits of 3.3 V"},
      {"another converter", [](robot::Board& b) { b.adc_bits = 12; }, "12 bits of 5 V"},
      {"a sense beyond the channels", [](robot::Board& b) { b.banks[1].sense_adc = 8; }, "bank B is sensed on ADC8"},
      {"an analogue port beyond the channels",
       [](robot::Board& b) {
         for (auto& port : b.ports) {
           if (port.kind == robot::PortKind::analogue_input) port.adc_channel = 9;
         }
       },
       "is on ADC9"},
  };
  for (const Case& c : cases) {
    auto robot = demonstration();
    c.change(robot.board);
    const auto plan = firmware_build(robot, request(BuildFor::atmega2560));
    REQUIRE_MESSAGE(!plan, c.name);
    CHECK_MESSAGE(plan.error().id == "bind.board-not-built-for", c.name);
    CHECK_MESSAGE(plan.error().message.find(c.says) != std::string::npos, c.name << ": " << plan.error().message);
    CHECK_MESSAGE(firmware_build(robot, request(BuildFor::twin)).has_value(), c.name);
  }
}

TEST_CASE("the board's fingerprint goes into the firmware") {
  const auto robot = demonstration();
  char expected[64];
  std::snprintf(expected, sizeof expected, "board_fingerprint = 0x%08XUL;", board_fingerprint(robot.board));
  CHECK(board_hpp(robot.board).find(expected) != std::string::npos);
}

TEST_CASE("sizes are read from what the size command prints") {
  const auto size = read_size(
      "   text\t   data\t    bss\t    dec\t    hex\tfilename\n  35118\t   1702\t   3239\t  40059\t   9c7b\tt.elf\n");
  REQUIRE(size);
  CHECK(size->flash_bytes == 36820);
  CHECK(size->static_bytes == 4941);
  for (const char* bad : {"", "text data bss\n", "text\nten 2 3", "avr-size: 't.elf': No such file\n"})
    CHECK_MESSAGE(!read_size(bad), bad);
}

TEST_CASE("what a build can be for") {
  CHECK(build_for("twin") == BuildFor::twin);
  CHECK(build_for("atmega2560") == BuildFor::atmega2560);
  CHECK(!build_for("atmega328p"));
}
