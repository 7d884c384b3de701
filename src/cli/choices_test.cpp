#include "cli/choices.h"

#include <doctest/doctest.h>

namespace ringout::cli {
namespace {

using Ids = std::vector<std::string>;

const std::vector<session::Choice> few{{"two", "2 lamps"}, {"1", "one lamp"}, {"q", "quiet"}, {"quit", "quit", 'q'}};

std::vector<session::Choice> many() {
  std::vector<session::Choice> out;
  for (int i = 1; i <= 30; ++i)
    out.push_back({"check." + std::to_string(i), (i % 3 == 0 ? "ohms at wire " : "look at part ") + std::to_string(i)});
  out.push_back({"cancel", "nothing of the wires", 'c'});
  return out;
}

TEST_CASE("a whole id goes before a number and a letter, whatever stands first") {
  CHECK(choices_meant(few, "1") == Ids{"1"});
  CHECK(choices_meant(few, "q") == Ids{"q"});
  CHECK(choices_meant(few, "3") == Ids{"q"});
  CHECK(choices_meant(few, "quit") == Ids{"quit"});
  CHECK(choices_meant({few[0], few[3]}, "1") == Ids{"two"});
  CHECK(choices_meant({few[0], few[3]}, "Q") == Ids{"quit"});
  CHECK(choices_meant(few, "9").empty());
}

TEST_CASE("in a list too long to be shown a word finds what it is in, and says where nothing is") {
  CHECK(choices_meant(many(), "wire").size() == 10);
  CHECK(choices_meant(many(), "wire 30") == Ids{"check.30"});
  CHECK(choices_text(many(), "").find("and 10 more: write a word") != std::string::npos);
  CHECK(choices_meant(few, "lamp").empty());
  CHECK(not_meant_text(many(), "hose") ==
        "nothing matches \"hose\": write another word, a number from 1 to 30, or one of the letters\n");
  CHECK(not_meant_text(many(), "106") == "please give a number from 1 to 30, or one of the letters\n");
  CHECK(not_meant_text(few, "hose") == "please give a number from 1 to 3, or one of the letters\n");
}

}  // namespace
}  // namespace ringout::cli
