#include "find/interview_run.h"

#include <doctest/doctest.h>

#include <cmath>
#include <deque>

#include "find/case_file.h"
#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;
using namespace ringout::find::testing;

Model lamp() {
  Model m;
  m.name = "lamp";
  m.faults = Faults::independent;
  const Index bulb = add_fault(m, "bulb", 0.1), fuse = add_fault(m, "fuse", 0.05),
              supply = add_fault(m, "supply", 0.01);
  const Index dark = add_check(m, "lamp", 0, {{bulb, 1.0}, {fuse, 1.0}, {supply, 1.0}});
  add_check(m, "look at the fuse", 1, {{fuse, 1.0}});
  add_check(m, "other lamp", 0.5, {{supply, 1.0}});
  add_check(m, "meter at the socket", 2, {{fuse, 1.0}, {supply, 1.0}});
  add_repair(m, "replace the bulb", 8, {{bulb, 1.0}});
  add_repair(m, "replace the fuse", 6, {{fuse, 1.0}});
  add_repair(m, "charge the battery", 30, {{supply, 0.9}});
  m.call_cost = 100;
  m.symptoms.push_back({dark, 1});
  return m;
}

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

bool still_suspected(const View& view, Index mode) {
  return std::any_of(view.suspects.begin(), view.suspects.end(), [&](const Suspect& s) { return s.mode == mode; });
}

TEST_CASE("a case from the complaint to five good tries closes by itself, with its cost and what it was") {
  const Model m = lamp();
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

TEST_CASE("what was mended and held leads the suspects, however unlikely it was before") {
  const Model m = lamp();
  Interview interview(m);
  interview.add(Saw{2, 0});
  interview.add(Done{1});
  REQUIRE(interview.view().suspects.front().mode == 0);  // the bulb was likelier
  interview.add(Proof{proof_times, Proof::Result::held});
  const View view = interview.view();
  REQUIRE(view.status == Status::to_close);
  CHECK(view.suspects.front().mode == 1);
  CHECK(!still_suspected(view, 0));
  REQUIRE(view.diagnosis);
  CHECK(view.diagnosis->faults == FaultSet{1});
}

TEST_CASE("a try that fails after a repair clears what was mended and goes on") {
  const Model m = lamp();
  Interview interview(m);
  interview.add(Done{0});
  CHECK(interview.status() == Status::to_prove);
  interview.add(Proof{proof_times, Proof::Result::failed});
  const View view = interview.view();
  CHECK(view.status == Status::open);
  // The bulb alone could have been mended; with another fault it could not be told.
  CHECK(view.suspects.front().mode == 1);
  CHECK(!still_suspected(view, 0));
  CHECK(view.spent == doctest::Approx(8.0));
}

TEST_CASE("an answer taken back is as if it never was, and so is an answer that could not be given") {
  const Model m = lamp();
  Interview never(m), taken(m);
  taken.add(Saw{1, 1});
  taken.add(Saw{2, 0});
  taken.add(TookBack{0});
  never.add(Saw{2, 0});
  const View a = never.view(), b = taken.view();
  REQUIRE(a.suspects.size() == b.suspects.size());
  for (std::size_t i = 0; i < a.suspects.size(); ++i) {
    CHECK(a.suspects[i].mode == b.suspects[i].mode);
    CHECK(a.suspects[i].chance == doctest::Approx(b.suspects[i].chance).epsilon(1e-12));
  }
  CHECK(a.next->step == b.next->step);
  taken.add(CouldNotTell{1});
  const View after = taken.view();
  for (const Alternative& alternative : after.next->alternatives)
    CHECK(alternative.step != Step{Step::Kind::observe, 1});
}

TEST_CASE("what was put aside is not offered, the call neither, until nothing is left; then it can be taken back") {
  const Model m = lamp();
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
  Script script{{{"stuck", "take_back"}, {"take_back", "7"}}};
  REQUIRE(script.run(interview));
  REQUIRE(interview.view().next);
  CHECK(interview.view().next->step == Step{Step::Kind::repair, 2});
}

TEST_CASE("something else was done instead: a check is answered, a repair is tried") {
  const Model m = lamp();
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

TEST_CASE("it works now, and nobody knows why: the case asks what it was, and teaches nothing where that is unknown") {
  const Model m = lamp();
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
    const std::string said = known ? "part_5" : "not_known";
    Script script{{{"", "works_now"}, {"prove", "held"}, {"found", said}}};
    REQUIRE(script.run(interview));
    CHECK(interview.status() == Status::closed);
    CHECK(script.kept.ends_with(known ? "closed\tpart 5\n" : "closed\n"));
    CHECK(interview.closed().has_value() == known);
  }
}

TEST_CASE("answers that cannot all be true are named, and doubting one of them goes on") {
  const Model m = lamp();
  Interview interview(m);
  interview.add(Saw{2, 0});  // other lamp good: not the supply
  interview.add(Saw{1, 0});  // fuse good
  interview.add(Saw{3, 1});  // and no voltage at the socket
  const View view = interview.view();
  CHECK(view.status == Status::contradiction);
  CHECK(view.conflict.events.size() == 3);
  CHECK(!view.next);
  Script script{{{"doubt", "2"}}};
  REQUIRE(script.run(interview));
  CHECK(interview.status() == Status::open);
  CHECK(interview.view().suspects.front().mode == 1);  // then it is the fuse
}

TEST_CASE("as soon as the fault is as good as known its evidence is weighed") {
  const Model m = lamp();
  Interview interview(m);
  CHECK(!interview.view().diagnosis);
  interview.add(Saw{1, 1});
  const View view = interview.view();
  REQUIRE(view.diagnosis);
  CHECK(view.diagnosis->faults == FaultSet{1});
  REQUIRE(view.diagnosis->evidence.size() == 1);
  CHECK(!view.diagnosis->evidence.front().for_it.empty());
  CHECK(view.diagnosis->repairs == std::vector<Index>{1});
}

TEST_CASE("each reading says what it would rule out") {
  const Model m = lamp();
  Interview interview(m);
  interview.add(PutAside{{Step::Kind::observe, 1}});
  interview.add(PutAside{{Step::Kind::observe, 2}});
  for (Index r = 0; r < 3; ++r) interview.add(PutAside{{Step::Kind::repair, r}});
  interview.add(PutAside{{Step::Kind::call, 0}});
  const View view = interview.view();
  REQUIRE(view.next);
  REQUIRE(view.next->step == Step{Step::Kind::observe, 3});
  REQUIRE(view.readings.size() == 2);
  CHECK(view.readings[0].rules_out == std::vector<Index>{1, 2});
  CHECK(view.readings[0].then.front().mode == 0);
}

TEST_CASE("a help call ends a case; what it was is asked, and the found fault teaches") {
  const Model m = lamp();
  Interview interview(m);
  Script script{{{"", "instead"}, {"instead", "call"}, {"found", "supply"}}};
  const auto ended = script.run(interview);
  REQUIRE(ended);
  REQUIRE(interview.closed());
  CHECK(interview.closed()->found == FaultSet{2});
  CHECK(interview.view().spent == doctest::Approx(100.0));
}

TEST_CASE("a bench makes what it can; what it cannot is asked") {
  const Model m = lamp();
  Interview interview(m);
  int made = 0;
  Around around;
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
  around.keep = [](const Entry&) -> Result<void> { return {}; };
  around.show = [](const View&, Around::Next) {};
  const auto ended = hold(interview, around);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  CHECK(made >= 1);
}

TEST_CASE("where the person takes part the bench waits for her, and tries what was mended only when she says so") {
  const Model m = lamp();
  Interview interview(m);
  std::vector<std::string> asked;
  int tried = 0;
  Around around;
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
  around.keep = [](const Entry&) -> Result<void> { return {}; };
  around.show = [](const View&, Around::Next) {};
  const auto ended = hold(interview, around);
  REQUIRE(ended);
  CHECK(*ended == Ended::closed);
  CHECK(tried == 2);
}

TEST_CASE("a check of the bench that is out of reach is not offered, one that is refused costs nothing") {
  const Model m = lamp();
  for (const bool known_before : {true, false}) {
    CAPTURE(known_before);
    Interview interview(m);
    Around around;
    around.makes = around.together = [](Index observation) { return observation == 1; };
    if (known_before) around.out_of_reach = [] { return std::vector<Index>{1}; };
    around.observe = [](Index) -> Result<Observed> { return Observed{Observed::How::not_made, 0, "no room"}; };
    std::vector<std::string> asked;
    around.ask = [&](const Ask& ask) -> Result<std::string> {
      asked.push_back(ask.id);
      return std::string(ask.kind == Ask::Kind::ready ? says::go : says::quit);
    };
    around.keep = [](const Entry&) -> Result<void> { return {}; };
    around.show = [](const View&, Around::Next) {};
    REQUIRE(hold(interview, around));
    CHECK(std::count(asked.begin(), asked.end(), "ready.look_at_the_fuse") == (known_before ? 0 : 1));
    CHECK(interview.view().spent == 0.0);
    CHECK(interview.view().put_aside == (known_before ? 0U : 1U));
  }
}

TEST_CASE("what the bench has just made for the person with the last that was allowed is still hers to tell") {
  const Model m = lamp();
  Interview interview(m);
  bool made = false;
  Around around;
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
  around.keep = [](const Entry&) -> Result<void> { return {}; };
  around.show = [](const View&, Around::Next) {};
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

// Four lamps and fuses, alike until one looks at the side: `left` 0, `right` 1.
TEST_CASE("an answer taken back and given otherwise leads to the other side, whatever was thought before") {
  Model m;
  m.faults = Faults::exactly_one;
  for (const char* name : {"left lamp", "left fuse", "right lamp", "right fuse"}) add_fault(m, name, 0.25);
  const Index side = add_check(m, "side", 1, {{2, 1.0}, {3, 1.0}});
  for (Index i = 0; i < 4; ++i) add_repair(m, "renew " + m.parts[i].name, 10, {{i, 1.0}});
  m.call_cost = 200;
  for (const StrategyKind kind : {StrategyKind::best, StrategyKind::optimum, StrategyKind::rollout}) {
    Interview interview(m, kind);
    for (const Index seen : {0U, 1U, 0U, 1U}) {
      interview.add(Saw{side, seen});
      const View view = interview.view();
      REQUIRE(view.next);
      REQUIRE(view.next->step.kind == Step::Kind::repair);
      CHECK(view.next->step.index / 2 == seen);
      interview.add(TookBack{interview.entries().size() - 1});
    }
  }
}

TEST_CASE("outcomes may have the words of the conversation: go and no go of a gauge") {
  Model m = lamp();
  const Index gauge = add_check(m, "gauge", 0.1, {{1, 1.0}});
  m.observations[gauge].outcomes = {"go", "no go"};
  Interview interview(m);
  Script script{{{"", "instead"}, {"instead", "check.gauge"}, {"check.gauge", "go"}}};
  REQUIRE(script.run(interview));
  REQUIRE(interview.answers().size() == 1);
  CHECK(interview.answers().front().observation == gauge);
  CHECK(interview.answers().front().outcome == 0);
}

TEST_CASE("a check answered again is no second witness, until a repair may have changed what it shows") {
  Model m = lamp();
  m.observations[1].healthy = {0.9, 0.1};  // the look at the fuse errs now and then
  const auto fuse = [&](const std::vector<Entry>& entries) {
    Interview interview(m);
    for (const Entry& e : entries) interview.add(e);
    double chance = 0;
    for (const Suspect& s : interview.view().suspects) chance += s.mode == 1 ? s.chance : 0;
    return chance;
  };
  const double once = fuse({Saw{1, 1}});
  CHECK(once > 0.5);
  CHECK(fuse({Saw{1, 1}, Saw{1, 1}, Saw{1, 1}}) == doctest::Approx(once).epsilon(1e-12));
  CHECK(fuse({Saw{1, 0}, Saw{1, 1}}) == doctest::Approx(once).epsilon(1e-12));  // the last one counts
  CHECK(fuse({Saw{1, 1}, Saw{0, 1}}) == doctest::Approx(once).epsilon(1e-12));  // the complaint again
  const std::vector<Entry> bulb_renewed{Saw{1, 1}, Done{0}, Proof{5, Proof::Result::failed}};
  std::vector<Entry> again = bulb_renewed;
  again.push_back(Saw{1, 1});
  CHECK(fuse(again) == doctest::Approx(fuse(bulb_renewed)).epsilon(1e-12));
  const std::vector<Entry> fuse_renewed{Saw{1, 1}, Done{1}, Proof{5, Proof::Result::failed}, Saw{1, 0}};
  CHECK(events_of(m, fuse_renewed).events.size() == 3);
}

TEST_CASE("of two faults the history learns the last, and no answer that the first one gave") {
  const Model m = lamp();
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
  Model m = lamp();
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
  const Model m = lamp();
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
  const Model m = lamp();
  for (const bool silent : {false, true}) {
    Interview interview(m);
    std::vector<Index> made;
    Around around;
    around.at_start = {2, 1};
    around.observe = [&](Index o) -> Result<Observed> {
      made.push_back(o);
      return Observed{Observed::How::seen, silent ? 1U : 0U, "", silent};
    };
    around.ask = [](const Ask&) -> Result<std::string> { return std::string(says::quit); };
    around.keep = [](const Entry&) -> Result<void> { return {}; };
    around.show = [](const View&, Around::Next) {};
    REQUIRE(hold(interview, around));
    CHECK(made == (silent ? std::vector<Index>{2} : std::vector<Index>{2, 1}));
  }
}

TEST_CASE("a repair and an end that the model does not list any more stay a repair and an end") {
  const std::string text = head_text({"lamp", {}}) + "done\trenew the old thing\nproof\theld\t5\n";
  const Model m = lamp();
  Diagnostics found;
  const auto entries = [&](const std::string& all) {
    const auto kept = read_case(SourceText("old.txt", all), found);
    REQUIRE(kept);
    return entries_of(*kept, m);
  };
  const std::vector<Entry> open = entries(text);
  REQUIRE(open.size() == 2);
  CHECK(line_text(m, open.front()) == "done\trenew the old thing\n");
  Interview interview(m);
  for (const Entry& e : open) interview.add(e);
  CHECK(interview.status() == Status::to_close);
  Interview closed(m);
  for (const Entry& e : entries(text + "closed\told thing.gone\n")) closed.add(e);
  CHECK(closed.status() == Status::closed);
  CHECK(!closed.closed());
  CHECK(line_text(m, closed.entries().back()) == "closed\told thing.gone\n");
}

TEST_CASE("a case file: written, cut off after any byte, and taken up again with all that was whole") {
  const Model m = lamp();
  const std::vector<Entry> entries{Saw{1, 0, By::bench},
                                   CouldNotTell{2},
                                   PutAside{{Step::Kind::repair, 0}},
                                   PutAside{{Step::Kind::call, 0}},
                                   TookBack{2},
                                   Done{0},
                                   Proof{5, Proof::Result::failed},
                                   Done{},
                                   Proof{5, Proof::Result::held},
                                   Called{},
                                   Closed{{1}},
                                   Closed{}};
  std::string text = head_text({"lamp", {{"lamp", "dark"}}});
  std::vector<std::size_t> ends{text.size()};
  for (const Entry& e : entries) {
    text += line_text(m, e);
    ends.push_back(text.size());
  }
  for (std::size_t cut = 0; cut <= text.size(); ++cut) {
    Diagnostics found;
    const auto kept = read_case(SourceText("case.txt", text.substr(0, cut)), found);
    REQUIRE_MESSAGE(kept, cut);
    CHECK(kept->whole.size() + kept->cut_off == cut);
    const auto whole =
        static_cast<std::size_t>(std::count_if(ends.begin(), ends.end(), [&](std::size_t end) { return end <= cut; }));
    const std::vector<Entry> again = entries_of(*kept, m);
    REQUIRE(again.size() == (whole == 0 ? 0 : whole - 1));
    for (std::size_t i = 0; i < again.size(); ++i) CHECK(line_text(m, again[i]) == line_text(m, entries[i]));
  }
}

TEST_CASE("what is no case is said with its line, and a check that the model lacks is passed over") {
  Diagnostics found;
  CHECK(!read_case(SourceText("a.txt", "something\n"), found));
  CHECK(found.all().front().id == "case.not-one");
  const std::string head = head_text({"lamp", {}});
  CHECK(!read_case(SourceText("b.txt", head + "saw\tbench\tx\ntook_back\t3\nproof\theld\t0\n"), found));
  CHECK(found.all().size() == 4);
  CHECK(found.all()[1].span.line == 3);
  const auto kept = read_case(SourceText("c.txt", head + "saw\tperson\tsmell it\tburnt\nsaw\tperson\tother lamp\tgood\n"
                                                         "took_back\t1\n"),
                              found);
  REQUIRE(kept);
  const Model m = lamp();
  Interview interview(m);
  for (Entry& e : entries_of(*kept, m)) interview.add(std::move(e));
  CHECK(interview.entries().size() == 3);
  CHECK(interview.answers().size() == 1);
  CHECK(interview.view().status == Status::open);
}

}  // namespace
