#include "plant/bystander_words.h"

#include <doctest/doctest.h>

using namespace ringout;
using namespace ringout::plant;

namespace {

class NotingBystander final : public Bystander {
 public:
  Result<void> work_by_hand(const std::string& input, bool on) override {
    if (input == "nothing") return failure(ErrorKind::bad_input, "plant.unknown-input", "no input is named nothing");
    done += input + (on ? " on;" : " off;");
    return {};
  }
  Result<void> open_disconnect(bool open) override {
    done += open ? "open;" : "close;";
    return {};
  }
  Result<void> reset_breaker(const std::string& name) override {
    done += "reset " + name + ";";
    return {};
  }
  Result<std::vector<Seen>> look() override { return seen; }

  std::string done;
  std::vector<Seen> seen;
};

}  // namespace

TEST_CASE("lines work the hands") {
  NotingBystander b;
  CHECK(follow(b, "press lift_top") == "pressed lift_top");
  CHECK(follow(b, "  release lift_top ") == "released lift_top");
  CHECK(follow(b, "open disconnect") == "disconnect open");
  CHECK(follow(b, "close disconnect") == "disconnect closed");
  CHECK(follow(b, "reset main_breaker") == "reset main_breaker");
  CHECK(b.done == "lift_top on;lift_top off;open;close;reset main_breaker;");
}

TEST_CASE("lines ask the eyes") {
  NotingBystander b;
  CHECK(follow(b, "look") == "nothing moved");
  b.seen = {{"lift", -1, 0.02}, {"mist_pump", 0, 0.5}};
  CHECK(follow(b, "look") == "lift moved its negative way, 0.02\nmist_pump was on for 0.5 s");
}

TEST_CASE("what cannot be followed is said, and nothing is done") {
  NotingBystander b;
  CHECK(follow(b, "").empty());
  CHECK(follow(b, "press nothing") == "cannot: no input is named nothing");
  for (const char* line : {"press", "press a b", "open door", "open disconnect now", "look up", "jump"}) {
    CHECK(follow(b, line).find("not understood") == 0);
  }
  CHECK(b.done.empty());
}
