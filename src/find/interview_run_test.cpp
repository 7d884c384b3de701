#include "find/interview_run.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <deque>

#include "find/case_file.h"
#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;
using namespace ringout::find::testing;

// A person who has her answers ready: the first word is the question's beginning, the second her answer.
struct Script {
  std::deque<std::pair<std::string, std::string>> lines;
  std::vector<std::string> asked = {};
  std::string kept = {};
  std::vector<Entry> entries = {};

  Result<Ended> run(Interview& interview) {
    Around around;
    around.ask = [&](const Ask& ask) -> Result<std::string> {
      asked.push_back(ask.id);
      if (lines.empty()) return std::string(says::quit);
      REQUIRE_MESSAGE(ask.id.starts_with(lines.front().first), ask.id);
      const std::string said = lines.front().second;
      lines.pop_front();
      const auto is_it = [&](const find::Choice& c) { return c.id == said; };
      REQUIRE_MESSAGE(std::any_of(ask.choices.begin(), ask.choices.end(), is_it), said);
      return said;
    };
    around.keep = [&](const Entry& entry) -> Result<void> {
      kept += line_text(interview.model(), entry);
      return {};
    };
    around.show = [](const View& view, Around::Next) {
      double sum = 0;
      for (const Reading& r : view.readings) sum += r.chance;
      CHECK((view.readings.empty() || std::abs(sum - 1.0) < 1e-9));
      for (const Suspect& s : view.suspects) CHECK(std::isfinite(s.chance));
    };
    return hold(interview, around);
  }
};

// A case that nobody keeps or looks at.
Around unkept() {
  Around around;
  around.keep = [](const Entry&) -> Result<void> { return {}; };
  around.show = [](const View&, Around::Next) {};
  return around;
}

TEST_CASE("a case from the complaint to five good tries closes by itself, with its cost and what it was") {
  const Model m = dark_lamp();
  Interview interview(m);
  Script script{{{"check.look_at_the_fuse", "bad"}, {"repair.replace_the_fuse", "done"}, {"prove", "held"}}};
  // The strategy may ask for another check first: skip until it asks for the fuse.
  while (true) {
    const View view = interview.view();
    REQUIRE(view.next);
    if (view.next->step == Step{Step::Kind::observe, 1}) break;
    interview.add(PutAside{view.next->step});
  }
  const auto ended = script.run(interview);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  REQUIRE(interview.closed());
  CHECK(interview.closed()->found == FaultSet{1});
  CHECK(interview.answers().size() == 1);
  CHECK(interview.view().spent == doctest::Approx(7.0));
  CHECK(script.kept.find("proof\theld\t5\nclosed\tfuse") != std::string::npos);
}

TEST_CASE("what was put aside is not offered, the call neither, until nothing is left; then it can be taken back") {
  const Model m = dark_lamp();
  Interview interview(m);
  interview.add(PutAside{{Step::Kind::call, 0}});
  for (Index o = 1; o < 4; ++o) interview.add(PutAside{{Step::Kind::observe, o}});
  for (Index r = 0; r < 3; ++r) {
    REQUIRE(interview.view().next);
    CHECK(interview.view().next->step.kind == Step::Kind::repair);
    interview.add(PutAside{{Step::Kind::repair, r}});
  }
  const View view = interview.view();
  CHECK(view.status == Status::open);
  CHECK(!view.next);
  CHECK(view.put_aside == 7);
  Script script{{{"stuck", "take_back"}, {"take_back", "entry_7"}}};
  REQUIRE(script.run(interview));
  REQUIRE(interview.view().next);
  CHECK(interview.view().next->step == Step{Step::Kind::repair, 2});
}

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
  for (const auto& [said, kept] : {std::pair("repair.replace_the_fuse", "done\treplace the fuse\n"),
                                   std::pair("call", "called\n"), std::pair("cancel", "")}) {
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
      if (question.kind == Ask::Kind::instead) return std::string(said);
      return std::string(std::exchange(asked, true) ? says::quit : says::instead);
    };
    REQUIRE(hold(interview, around));
    CHECK(all == kept);
  }
}

TEST_CASE("it works now, and nobody knows why: the case asks what it was, and teaches nothing where that is unknown") {
  const Model m = dark_lamp();
  Interview interview(m);
  Script script{{{"", "works_now"}, {"prove", "held"}, {"found", "not_known"}}};
  const auto ended = script.run(interview);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  CHECK(!interview.closed());
  CHECK(interview.status() == Status::closed);
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

TEST_CASE("answers that cannot all be true are named, and doubting one of them goes on") {
  const Model m = dark_lamp();
  Interview interview(m);
  interview.add(Saw{2, 0});  // other lamp good: not the supply
  interview.add(Saw{1, 0});  // fuse good
  interview.add(Saw{3, 1});  // and no voltage at the socket
  const View view = interview.view();
  CHECK(view.status == Status::contradiction);
  CHECK(view.conflict.events.size() == 3);
  CHECK(!view.next);
  Script script{{{"doubt", "entry_2"}}};
  REQUIRE(script.run(interview));
  CHECK(interview.status() == Status::open);
  CHECK(interview.view().suspects.front().mode == 1);  // then it is the fuse
}

TEST_CASE("a help call ends a case; what it was is asked, and the found fault teaches") {
  const Model m = dark_lamp();
  Interview interview(m);
  Script script{{{"", "instead"}, {"instead", "call"}, {"found", "supply"}}};
  const auto ended = script.run(interview);
  REQUIRE(ended);
  REQUIRE(interview.closed());
  CHECK(interview.closed()->found == FaultSet{2});
  CHECK(interview.view().spent == doctest::Approx(100.0));
}

TEST_CASE("a bench makes what it can; what it cannot is asked") {
  const Model m = dark_lamp();
  Interview interview(m);
  int made = 0;
  Around around = unkept();
  around.makes = [](Index observation) { return observation == 1 || observation == 2; };
  around.observe = [&](Index observation) -> Result<Observed> {
    ++made;
    if (observation == 2) return Observed{Observed::How::ask_the_person, 0};
    return Observed{Observed::How::seen, 1};
  };
  around.ask = [&](const Ask& ask) -> Result<std::string> {
    if (ask.id == "check.other_lamp") return std::string("good");
    CHECK(ask.id != "check.look_at_the_fuse");
    if (ask.kind == Ask::Kind::repair) return std::string("done");
    return std::string("held");
  };
  const auto ended = hold(interview, around);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  CHECK(made >= 1);
}

TEST_CASE("where the person takes part the bench waits for her, and tries what was mended only when she says so") {
  const Model m = dark_lamp();
  Interview interview(m);
  std::vector<std::string> asked;
  int tried = 0;
  Around around = unkept();
  around.makes = around.together = [](Index observation) { return observation == 1; };
  around.observe = [&](Index) -> Result<Observed> {
    CHECK(asked.back() == "ready.look_at_the_fuse");
    return Observed{Observed::How::seen, 1, "blown"};
  };
  around.prove = [&](int) -> Result<std::optional<Proof::Result>> {
    CHECK(asked.back() == "ready.prove");
    // The bench alone finds the first try good and the second bad.
    return ++tried == 1 ? std::optional(Proof::Result::failed) : std::nullopt;
  };
  around.ask = [&](const Ask& ask) -> Result<std::string> {
    asked.push_back(ask.id);
    if (ask.kind == Ask::Kind::ready) return std::string(says::go);
    if (ask.kind == Ask::Kind::repair) return std::string(says::done);
    if (ask.kind == Ask::Kind::prove) return std::string(says::held);
    return ask.kind == Ask::Kind::found ? ask.choices.front().id : std::string(says::not_now);
  };
  const auto ended = hold(interview, around);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  CHECK(tried == 2);
}

TEST_CASE("a check of the bench that is out of reach is not offered, one that is refused costs nothing") {
  const Model m = dark_lamp();
  for (const bool known_before : {true, false}) {
    CAPTURE(known_before);
    Interview interview(m);
    Around around = unkept();
    around.makes = around.together = [](Index observation) { return observation == 1; };
    if (known_before) around.out_of_reach = [] { return std::vector<Index>{1}; };
    around.observe = [](Index) -> Result<Observed> { return Observed{Observed::How::not_made, 0, "no room"}; };
    std::vector<std::string> asked;
    around.ask = [&](const Ask& ask) -> Result<std::string> {
      asked.push_back(ask.id);
      return std::string(ask.kind == Ask::Kind::ready ? says::go : says::quit);
    };
    REQUIRE(hold(interview, around));
    CHECK(std::count(asked.begin(), asked.end(), "ready.look_at_the_fuse") == (known_before ? 0 : 1));
    CHECK(interview.view().spent == 0.0);
    CHECK(interview.view().put_aside == (known_before ? 0U : 1U));
  }
}

TEST_CASE("what the bench has just made for the person with the last that was allowed is still hers to tell") {
  const Model m = dark_lamp();
  Interview interview(m);
  bool made = false;
  Around around = unkept();
  around.makes = around.together = [](Index observation) { return observation == 1; };
  around.out_of_reach = [&] { return made ? std::vector<Index>{1} : std::vector<Index>{}; };
  around.observe = [&](Index) -> Result<Observed> {
    made = true;
    return Observed{Observed::How::ask_the_person, 0, "it was bumped"};
  };
  std::vector<std::string> asked;
  around.ask = [&](const Ask& ask) -> Result<std::string> {
    asked.push_back(ask.id);
    return std::string(ask.kind == Ask::Kind::ready ? says::go : says::quit);
  };
  REQUIRE(hold(interview, around));
  CHECK(asked == std::vector<std::string>{"ready.look_at_the_fuse", "check.look_at_the_fuse"});
}

TEST_CASE("a fault to identify is closed when it is known") {
  Model m = test_matrix({"00", "01", "10", "11"}, {0.25, 0.25, 0.25, 0.25});
  Interview interview(m);
  Script script{{{"check", "bad"}, {"check", "bad"}}};
  const auto ended = script.run(interview);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
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

TEST_CASE("of two faults the history learns the last, and no answer that the first one gave") {
  const Model m = dark_lamp();
  Interview interview(m);
  interview.add(Saw{1, 1});  // the fuse is blown
  interview.add(Saw{2, 0});  // and the supply is good: no repair of this case changes that
  interview.add(Done{1});
  interview.add(Proof{5, Proof::Result::failed});
  Script script{{{"", "instead"}, {"instead", "repair.replace_the_bulb"}, {"prove", "held"}}};
  REQUIRE(script.run(interview));
  REQUIRE(interview.closed());
  CHECK(interview.closed()->found == FaultSet{0});
  REQUIRE(interview.answers().size() == 1);
  CHECK(interview.answers().front().observation == 2);
}

TEST_CASE("a repair that mends what was held impossible is asked about, and names what it mends") {
  Model m = dark_lamp();
  m.faults = Faults::exactly_one;
  Interview interview(m);
  interview.add(Saw{2, 1});  // the other lamp is dark, too: the supply
  interview.add(Done{0});
  interview.add(Proof{5, Proof::Result::held});
  const View view = interview.view();
  CHECK(view.status == Status::to_close);
  REQUIRE(view.found.size() == 1);
  CHECK(view.found.front().faults == FaultSet{0});
  CHECK(!view.found_follows);
  Script script{{{"found", "bulb"}}};
  REQUIRE(script.run(interview));
  REQUIRE(interview.closed());
  CHECK(interview.closed()->found == FaultSet{0});
}

TEST_CASE("what nobody said is asked: it works now, or help was there, however sure one suspect was") {
  const Model m = dark_lamp();
  for (const Entry& last : {Entry(Done{}), Entry(Called{})}) {
    Interview interview(m);
    interview.add(Saw{1, 1});
    interview.add(last);
    if (std::holds_alternative<Done>(last)) interview.add(Proof{5, Proof::Result::held});
    Script script{{{"found", "not_known"}}};
    REQUIRE(script.run(interview));
    CHECK(!interview.closed());
  }
}

TEST_CASE("where the first reading says that nothing can be read, the others at the start are not made") {
  const Model m = dark_lamp();
  for (const bool silent : {false, true}) {
    Interview interview(m);
    std::vector<Index> made;
    Around around = unkept();
    around.at_start = {2, 1};
    around.observe = [&](Index o) -> Result<Observed> {
      made.push_back(o);
      return Observed{Observed::How::seen, silent ? 1U : 0U, "", silent};
    };
    around.ask = [](const Ask&) -> Result<std::string> { return std::string(says::quit); };
    REQUIRE(hold(interview, around));
    CHECK(made == (silent ? std::vector<Index>{2} : std::vector<Index>{2, 1}));
  }
}

}  // namespace
