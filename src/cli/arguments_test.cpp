#include "cli/arguments.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "cli/golden.h"

namespace ringout::cli {
namespace {

Invocation parsed(const std::vector<std::string>& words) {
  const auto result = parse_arguments(words);
  REQUIRE(result);
  REQUIRE(std::holds_alternative<Invocation>(*result));
  return std::get<Invocation>(*result);
}

std::string help(const std::vector<std::string>& words) {
  const auto result = parse_arguments(words);
  REQUIRE(result);
  REQUIRE(std::holds_alternative<HelpText>(*result));
  return std::get<HelpText>(*result).text;
}

}  // namespace

TEST_CASE("what is asked for arrives as values") {
  const Invocation jog = parsed({"jog", "r.toml", "lift", "-12.5", "--for", "0.5", "--on", "twin:d.toml", "--json",
                                 "--catalogue", "a", "--catalogue", "b"});
  CHECK(jog.name == "jog");
  CHECK(jog.format == Format::json);
  CHECK(jog.catalogues == std::vector<std::string>{"a", "b"});
  const auto& command = std::get<JogCommand>(jog.command);
  CHECK(command.robot == "r.toml");
  CHECK(command.output == "lift");
  CHECK(command.percent == doctest::Approx(-12.5));
  CHECK(command.seconds == doctest::Approx(0.5));
  CHECK(command.link.on == "twin:d.toml");
  CHECK(command.link.acknowledged == Acknowledged::no);
  CHECK_FALSE(command.link.answers);

  const Invocation prove = parsed({"prove", "r.toml", "--on", "twin", "--answers", "a.txt", "--acknowledge"});
  CHECK(prove.format == Format::text);
  CHECK(std::get<ProveCommand>(prove.command).link.answers == "a.txt");
  CHECK(std::get<ProveCommand>(prove.command).link.acknowledged == Acknowledged::yes);

  CHECK(std::get<ReadyCommand>(parsed({"ready", "r.toml", "--readings-only"}).command).depth == Depth::readings);
  CHECK(std::get<ReadyCommand>(parsed({"ready", "r.toml"}).command).depth == Depth::with_motion);
  CHECK_FALSE(std::get<MetersCommand>(parsed({"meters", "r.toml"}).command).seconds);
  CHECK(std::get<MetersCommand>(parsed({"meters", "r.toml", "--for", "3"}).command).seconds == 3.0);
  CHECK(std::get<TwinCommand>(parsed({"twin", "r.toml"}).command).link.on == "twin");
  CHECK(std::get<RunCommand>(parsed({"run", "r.toml"}).command).link.on == "none");
}

TEST_CASE("what cannot be read is a usage error with the way to the help") {
  const std::vector<std::vector<std::string>> wrong = {
      {},
      {"fly"},
      {"check"},
      {"check", "r.toml", "--loud"},
      {"jog", "r.toml"},
      {"jog", "r.toml", "lift", "150"},
      {"jog", "r.toml", "lift", "much"},
      {"build", "r.toml", "--for", "toaster"},
      {"meters", "r.toml", "--for", "-1"},
      {"check", "r.toml", "another.toml"},
      {"check", "r.toml", "--plot"},
      {"check", "r.toml", "--plot", ""},
      {"check", "r.toml", "--plto", "pictures"},
      {"bind", ""},
      {"calc"},
      {"calc", "motor", "--stall-torque", ""},
      {"jog", "r.toml", "lift", "--for", "1", "--for", "2"},
      {"meters", "r.toml", "--every", "0.2 s"},
      {"links", "--catalogue", ""},
  };
  std::string told;
  for (const auto& words : wrong) {
    CAPTURE(words.size());
    const auto result = parse_arguments(words);
    REQUIRE(!result);
    const bool unknown = !words.empty() && words[0] == "fly";
    CHECK(result.error().id == (unknown ? "cli.unknown-command" : "cli.usage"));
    CHECK(result.error().kind == ErrorKind::bad_input);
    CHECK(result.error().hint.find("--help") != std::string::npos);
    if (!words.empty()) told += result.error().message + "\n";
  }
  check_golden("usage.txt", told);
}

TEST_CASE("help texts are as in the golden file") {
  std::string all = help({"--help"});
  for (const char* command : {"new", "check", "calc", "cold", "export", "bind", "build", "draw", "links", "ready",
                              "load", "jog", "prove", "run", "meters", "twin", "find", "trial"}) {
    all += "\n---- " + std::string(command) + "\n" + help({command, "--help"});
  }
  check_golden("help.txt", all);
}

}  // namespace ringout::cli
