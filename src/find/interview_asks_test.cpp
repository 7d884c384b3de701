// The questions of an interview, and what their answers do.
#include <doctest/doctest.h>

#include <algorithm>
#include <utility>

#include "find/interview_testing.h"
#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;
using namespace ringout::find::testing;

TEST_CASE("something else was done instead: a check is answered, a repair is tried") {
  const Model m = dark_lamp();
  Interview interview(m);
  Script script{{{"", "instead"},
                 {"instead", "check.meter_at_the_socket"},
                 {"check.meter_at_the_socket", "good"},
                 {"", "instead"},
                 {"instead", "repair.replace_the_bulb"},
                 {"prove", "held"}}};
  const auto ended = script.run(interview);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  CHECK(interview.closed()->found == FaultSet{0});
}

TEST_CASE("what nobody here can make is not among what was done instead, and the others are still what they say") {
  const Model m = dark_lamp();
  const Ask ask = ask_instead(m, {0, 2});
  const auto is_it = [](const char* id) { return [id](const find::Choice& c) { return c.id == id; }; };
  CHECK(std::none_of(ask.choices.begin(), ask.choices.end(), is_it("check.other_lamp")));
  CHECK(std::any_of(ask.choices.begin(), ask.choices.end(), is_it("check.meter_at_the_socket")));
  struct Said {
    std::string answer, kept;
  };
  for (const Said& said :
       {Said{"repair.replace_the_fuse", "done\treplace the fuse\n"}, Said{"call", "called\n"}, Said{"cancel", ""}}) {
    Interview interview(m);
    std::string all;
    bool asked = false;
    Around around = unkept();
    around.left_out = {0, 2};
    around.keep = [&](const Entry& entry) -> Result<void> {
      all += line_text(m, entry);
      return {};
    };
    around.ask = [&](const Ask& question) -> Result<std::string> {
      if (question.kind == Ask::Kind::instead) return said.answer;
      return std::string(std::exchange(asked, true) ? says::quit : says::instead);
    };
    REQUIRE(hold(interview, around));
    CHECK(all == said.kept);
  }
}

TEST_CASE("not known stays not known where more suspects are left than the question lists") {
  Model m;
  m.faults = Faults::exactly_one;
  for (Index i = 0; i < 9; ++i) {
    add_fault(m, "part " + std::to_string(i), 1.0 / (i + 2));
    add_repair(m, "renew part " + std::to_string(i), 10, {{i, 1.0}});
  }
  for (const bool known : {false, true}) {
    Interview interview(m);
    const std::string said = known ? "part_8" : "not_known";  // the least likely, behind the guesses
    Script script{{{"", "works_now"}, {"prove", "held"}, {"found", said}}};
    REQUIRE(script.run(interview));
    CHECK(interview.status() == Status::closed);
    CHECK(script.kept.ends_with(known ? "closed\tpart 8\n" : "closed\n"));
    CHECK(interview.closed().has_value() == known);
  }
}

TEST_CASE("outcomes may have the words of the conversation: go and no go of a gauge") {
  Model m = dark_lamp();
  const Index gauge = add_check(m, "gauge", 0.1, {{1, 1.0}});
  m.observations[gauge].outcomes = {"go", "no go"};
  Interview interview(m);
  Script script{{{"", "instead"}, {"instead", "check.gauge"}, {"check.gauge", "go"}}};
  REQUIRE(script.run(interview));
  REQUIRE(interview.answers().size() == 1);
  CHECK(interview.answers().front().observation == gauge);
  CHECK(interview.answers().front().outcome == 0);
}

TEST_CASE("no id of a choice is a number or a letter: those stand for choices at a terminal") {
  Model m = dark_lamp();
  const Index count = add_check(m, "count the flashes", 0.1, {{1, 1.0}});
  m.observations[count].outcomes = {"2", "Q", "10", "two"};
  m.observations[count].healthy = {1, 0, 0, 0};
  m.observations[count].effects.front().chance = {0, 1, 0, 0};
  const Ask check = ask_step(m, {Step::Kind::observe, count}, 0.1);
  std::vector<std::string> ids;
  for (std::size_t i = 0; i < 4; ++i) ids.push_back(check.choices[i].id);
  CHECK(ids == std::vector<std::string>{"is_2", "is_q", "is_10", "two"});
  Interview interview(m);
  interview.add(Saw{1, 1});
  interview.add(Saw{2, 0});
  const Ask back = ask_take_back(interview);
  CHECK(back.choices[0].id == "entry_2");  // the newest first
  CHECK(back.choices[1].id == "entry_1");
  Script script{{{"", "take_back"}, {"take_back", "entry_1"}}};
  REQUIRE(script.run(interview));
  CHECK(counting(interview.entries()) == std::vector<bool>{false, true, false});
  for (const char* wrong : {"entry_", "entry_0", "entry_2x", "2", "entry_99999999999999999999999"}) {
    CAPTURE(wrong);
    CHECK(!entry_named(wrong));
  }
}

TEST_CASE("what a repair would mend was right already: that clears it, asks for no proof and teaches no repair") {
  Model m = dark_lamp();
  m.check_cost = 3;
  m.places.push_back({"lid", std::nullopt, 4, 2, Place::AtCheck::may_stay_open, {}});
  m.repairs[1].place = m.observations[1].place = 0;
  const auto after = [&](const std::vector<Entry>& entries) {
    Interview interview(m);
    for (const Entry& e : entries) interview.add(e);
    return interview.view();
  };
  Interview interview(m);
  interview.add(Saw{3, 1});  // no voltage at the socket: fuse or supply
  while (interview.view().next->step != Step{Step::Kind::repair, 1})
    interview.add(PutAside{interview.view().next->step});
  Script script{{{"repair.replace_the_fuse", "right"}}};
  REQUIRE(script.run(interview));
  CHECK(script.kept == "right\treplace the fuse\n");
  const View view = interview.view();
  CHECK(view.status == Status::open);
  CHECK(view.spent == doctest::Approx(2 + 6 + 6));  // the meter, the lid, the look; nothing was tried
  REQUIRE(view.suspects.size() >= 1);
  CHECK(view.suspects.front().mode == 2);
  CHECK(std::none_of(view.suspects.begin(), view.suspects.end(), [](const Suspect& s) { return s.mode == 1; }));
  CHECK(!helping_repair(interview.entries()));
  CHECK(interview.answers().size() == 1);  // it changed nothing that the meter showed
  CHECK(texts_of(m, interview.entries()).front() == "replace the fuse: it was right already");
  // The lid is open now, and a check that was made before it is not offered again.
  const View next = after({Saw{3, 1}, WasRight{1}});
  for (const Alternative& a : next.next->alternatives) {
    CHECK(a.step != Step{Step::Kind::repair, 1});
    CHECK(a.step != Step{Step::Kind::observe, 3});
  }
  CHECK(after({WasRight{1}, Saw{1, 0}}).spent == doctest::Approx(6 + 6 + 1));
  // The same check again is no second witness: nothing was mended between the two.
  CHECK(events_of(m, {Saw{3, 1}, WasRight{1}, Saw{3, 1}}).events.size() == 2);
  // It disagrees with what was seen of it, but not with what was seen before it was mended.
  CHECK(after({Saw{1, 1}, WasRight{1}}).status == Status::contradiction);
  CHECK(after({Saw{1, 1}, Done{1}, Proof{5, Proof::Result::failed}, WasRight{1}}).status == Status::open);
}

}  // namespace
