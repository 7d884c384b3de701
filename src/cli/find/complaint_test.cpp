#include "cli/find/complaint.h"

#include <doctest/doctest.h>

#include <deque>

#include "robot/testing.h"

namespace {

using namespace ringout;
using namespace ringout::cli;

// Says what stands in her script, as long as it is offered.
class Scripted final : public session::Person {
 public:
  explicit Scripted(std::deque<std::string> says) : says_(std::move(says)) {}

  Result<std::string> choose(const session::Question& question) override {
    REQUIRE_MESSAGE(!says_.empty(), question.id);
    const std::string said = says_.front();
    says_.pop_front();
    for (const session::Choice& c : question.choices) {
      if (c.id == said) return said;
    }
    return failure(ErrorKind::bad_input, "not-offered", said + " is not offered at " + question.id);
  }
  Result<void> acknowledge(const std::vector<std::string>&) override { return {}; }
  Result<void> begin(const session::HandAction&) override { return {}; }
  session::Progress progress(const session::HandAction&) override { return session::Progress::cannot; }
  [[nodiscard]] session::RunControl run_control() const override { return session::RunControl::acknowledged; }
  bool holding() override { return false; }
  bool wants_to_end() override { return false; }

 private:
  std::deque<std::string> says_;
};

TEST_CASE("what was complained of can be taken back at each question, and the talk can be left") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto said = [&](std::deque<std::string> script) -> std::string {
    Scripted person(std::move(script));
    const auto complaint = asked_complaint(robot, person);
    if (!complaint) return complaint.error().id;
    std::string out;
    for (const faults::Trouble& t : complaint->troubles) out += (out.empty() ? "" : "; ") + trouble_text(t);
    return out;
  };
  CHECK(said({"clamp", "nothing", "no"}) == "clamp does nothing");
  CHECK(said({"lift", "take_back", "clamp", "nothing", "no"}) == "clamp does nothing");
  CHECK(said({"lift", "nothing", "take_back", "clamp", "nothing", "no"}) == "clamp does nothing");
  CHECK(said({"lift", "nothing", "yes", "take_back", "clamp", "nothing", "no"}) == "clamp does nothing");
  CHECK(said({"lift", "nothing", "yes", "clamp", "take_back", "no_more"}) == "lift does nothing");
  CHECK(said({"clamp", "another_acts", "mist_pump", "no"}) == "mist_pump acts instead of clamp");
  CHECK(said({"clamp", "another_acts", "not_known", "no"}) == "another thing acts instead of clamp");
  CHECK(said({"clamp", "another_acts", "clamp"}) == "not-offered");
  CHECK(said({"clamp", "another_acts", "take_back", "lift", "nothing", "no"}) == "lift does nothing");
  CHECK(said({"quit"}) == "find.quit");
  CHECK(said({"lift", "quit"}) == "find.quit");
  CHECK(said({"lift", "nothing", "quit"}) == "find.quit");
  CHECK(said({"take_back"}) == "not-offered");  // nothing was said yet
}

TEST_CASE("what acts instead is written behind the symptom, kept with it, and must be another output") {
  const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  const auto written = written_complaint(robot, {"clamp=another_acts:mist_pump"});
  REQUIRE(written);
  CHECK(written->troubles.front().other == "mist_pump");
  const auto lines = symptom_lines(*written);
  CHECK(lines == std::vector<std::vector<std::string>>{{"clamp", "another acts", "mist_pump"}});
  const auto kept = kept_complaint(robot, {"tray_carrier", lines});
  REQUIRE(kept);
  CHECK(kept->troubles.front().other == "mist_pump");
  for (const char* wrong : {"clamp=another_acts:clamp", "clamp=another_acts:lift_top", "clamp=nothing:belt"})
    CHECK_FALSE(written_complaint(robot, {wrong}));
}

}  // namespace
