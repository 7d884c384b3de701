#include "prove/hand_proof.h"

#include <doctest/doctest.h>

#include "prove/sensor_supply.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::prove;

namespace {

const robot::Robot& drawn() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

capture::Sample at_rest() {
  return {.encoders = {10, 20, 30, 40, 50, 60}, .adc = std::vector<std::uint16_t>(16, 500)};
}

// What she was asked to turn, with the counts of encoder port `port` as given, sample by sample.
capture::HandRecord turned(const std::string& input, std::size_t port, const std::vector<int>& counts, int direction) {
  capture::HandRecord r{.input = input, .before = {at_rest(), at_rest()}, .direction = direction};
  for (const int c : counts) {
    capture::Sample s = at_rest();
    s.encoders[port] += c;
    r.during.push_back(s);
  }
  return r;
}

Finding finding(const std::string& point, Condition condition) {
  Finding f;
  f.point = point;
  f.condition = condition;
  return f;
}

const std::vector<int> onward = {1, 5, 12, 20, 31, 40};
const std::vector<int> to_and_fro = {1, 0, 1, 0, 1, 0, 1, 0, 1, 0};

}  // namespace

TEST_CASE("an encoder turned by hand: port, both channels, and the way where she says it") {
  struct Case {
    const char* name;
    capture::HandRecord record;
    std::optional<std::string> port;
    Condition condition;
    Sign sign;
  };
  const std::vector<int> backward = {-1, -5, -12, -20, -31, -40};
  const Case cases[] = {
      {"as she says", turned("belt_encoder", 3, onward, 1), "ENC4", Condition::answers, Sign::as_drawn},
      {"against it", turned("belt_encoder", 3, backward, 1), "ENC4", Condition::answers, Sign::reversed},
      {"the other way", turned("belt_encoder", 3, backward, -1), "ENC4", Condition::answers, Sign::as_drawn},
      {"drawn reversed", turned("right_encoder", 1, backward, 1), "ENC2", Condition::answers, Sign::as_drawn},
      {"she does not say", turned("belt_encoder", 3, onward, 0), "ENC4", Condition::answers, Sign::unknown},
      {"another port", turned("belt_encoder", 0, onward, 1), "ENC1", Condition::answers, Sign::as_drawn},
      {"one channel", turned("belt_encoder", 3, to_and_fro, 1), "ENC4", Condition::one_channel_dead, Sign::unknown},
      {"silent", turned("belt_encoder", 3, {0, 0, 0, 0}, 1), std::nullopt, Condition::silent, Sign::unknown},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    const auto found = find_by_hand(drawn(), std::span(&c.record, 1));
    REQUIRE(found.size() == 1);
    CHECK(found[0].found_port == c.port);
    CHECK(name_of(found[0].condition) == std::string(name_of(c.condition)));
    CHECK(name_of(found[0].sign) == std::string(name_of(c.sign)));
    CHECK(found[0].confidence > 0.9);
    CHECK(found[0].person_looked);
  }
}

TEST_CASE("what is asked to be turned: untested sensors of what takes no motion from its motor; never what is held") {
  struct Case {
    Condition output;
    Condition sensor;
    bool asked;
  };
  for (const Case& c :
       {Case{Condition::no_current, Condition::untested, true}, Case{Condition::jammed, Condition::untested, false},
        Case{Condition::answers, Condition::untested, false}, Case{Condition::no_current, Condition::answers, false}}) {
    const std::vector<Finding> findings = {finding("belt", c.output), finding("belt_encoder", c.sensor)};
    std::vector<std::string> asked;
    for (const TurnRequest& request : turn_requests(drawn(), findings)) asked.push_back(request.input);
    CAPTURE(name_of(c.output));
    CHECK(asked == (c.asked ? std::vector<std::string>{"belt_encoder"} : std::vector<std::string>{}));
  }
}

TEST_CASE("what the hands show takes the place of what the bumps left open; what could not be turned stays so") {
  std::vector<Finding> findings = {finding("belt", Condition::no_current),
                                   finding("belt_encoder", Condition::untested)};
  capture::HandRecord cannot = turned("belt_encoder", 3, onward, 1);
  cannot.done = false;
  add_by_hand(drawn(), std::span(&cannot, 1), findings);
  CHECK(findings[1].condition == Condition::untested);
  const capture::HandRecord done = turned("belt_encoder", 3, onward, 1);
  add_by_hand(drawn(), std::span(&done, 1), findings);
  REQUIRE(findings.size() == 2);
  CHECK(findings[1].condition == Condition::answers);
}

TEST_CASE("sensors without their supply: all of them say nothing, and one that says something clears it") {
  const auto reading = [](std::uint16_t position, std::uint16_t range) {
    capture::Sample s = at_rest();
    s.adc[*drawn().port_of(drawn().input("clamp_position")->port).adc_channel] = position;
    s.adc[*drawn().port_of(drawn().input("range_ahead")->port).adc_channel] = range;
    return std::vector<capture::Sample>(5, s);
  };
  using Names = std::vector<std::string>;
  CHECK(without_supply(drawn(), reading(0, 1)) == Names{"clamp_position", "range_ahead"});
  CHECK(without_supply(drawn(), reading(0, 300)).empty());
  CHECK(without_supply(drawn(), std::vector<capture::Sample>{}).empty());
  std::vector<Finding> findings = {
      finding("left_encoder", Condition::silent), finding("right_encoder", Condition::silent),
      finding("belt_encoder", Condition::untested), finding("tray_present", Condition::answers)};
  CHECK(without_supply(drawn(), findings) == Names{"left_encoder", "right_encoder"});
  findings[2].condition = Condition::answers;
  CHECK(without_supply(drawn(), findings).empty());
  findings.resize(1);
  CHECK(without_supply(drawn(), findings).empty());
}
