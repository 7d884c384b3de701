#include "find/interview_run.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "find/interview_testing.h"
#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;
using namespace ringout::find::testing;

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

TEST_CASE("what cannot be done before the bench has begun it costs nothing") {
  const Model m = dark_lamp();
  Interview interview(m);
  Around around = unkept();
  around.makes = around.together = [](Index observation) { return observation == 1; };
  around.ask = [](const Ask& ask) -> Result<std::string> {
    return std::string(ask.kind == Ask::Kind::ready ? says::cannot_tell : says::quit);
  };
  REQUIRE(hold(interview, around));
  CHECK(interview.view().spent == 0.0);
  CHECK(interview.view().put_aside == 1);
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
