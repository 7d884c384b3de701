#include "find/interview.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "find/testing.h"

namespace {

using namespace ringout::find;
using namespace ringout::find::testing;

bool still_suspected(const View& view, Index mode) {
  return std::any_of(view.suspects.begin(), view.suspects.end(), [&](const Suspect& s) { return s.mode == mode; });
}

TEST_CASE("what was mended and held leads the suspects, however unlikely it was before") {
  const Model m = dark_lamp();
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

TEST_CASE("a closed case names what it was closed with, however unlikely it was before") {
  const Model m = dark_lamp();
  const auto view_of = [&](const std::vector<Entry>& entries) {
    Interview interview(m);
    for (const Entry& e : entries) interview.add(e);
    return interview.view();
  };
  const Proof held{proof_times, Proof::Result::held};
  // The supply, at first least likely: by the repair that helped; by a person's word, with a repair and without one.
  for (const std::vector<Entry>& entries :
       {std::vector<Entry>{Done{2}, held, Closed{{2}}}, std::vector<Entry>{Done{0}, held, Closed{{2}}},
        std::vector<Entry>{Done{}, held, Closed{{2}}}}) {
    const View view = view_of(entries);
    CHECK(view.status == Status::closed);
    REQUIRE(view.suspects.size() == 1);
    CHECK(view.suspects.front().mode == 2);
    REQUIRE(view.diagnosis);
    CHECK(view.diagnosis->faults == FaultSet{2});
    CHECK(view.diagnosis->chance_of(view.diagnosis->evidence.front()) == doctest::Approx(1.0));
    CHECK(view.diagnosis->evidence.front().now < 0.2);
  }
  const View nobody = view_of({Saw{1, 1}, Done{}, held, Closed{}});
  CHECK(nobody.status == Status::closed);
  CHECK(nobody.suspects.empty());
  CHECK(!nobody.diagnosis);
}

TEST_CASE("a try that fails after a repair clears what was mended and goes on") {
  const Model m = dark_lamp();
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
  const Model m = dark_lamp();
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

TEST_CASE("as soon as the fault is as good as known its evidence is weighed") {
  const Model m = dark_lamp();
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
  const Model m = dark_lamp();
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

TEST_CASE("a check answered again is no second witness, until a repair may have changed what it shows") {
  Model m = dark_lamp();
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

TEST_CASE("with one fault at a time nothing has changed after a repair that did not help: no second look") {
  Model m;
  const Index a = add_fault(m, "a", 0.5), b = add_fault(m, "b", 0.5);
  const Index look = add_check(m, "look", 1, {{a, 0.7}}, 0.3);
  add_repair(m, "ra", 10, {{a, 0.5}});
  add_repair(m, "rb", 10, {{b, 1.0}});
  m.call_cost = 100;
  const std::vector<Entry> once{Saw{look, 1}, Done{0}, Proof{5, Proof::Result::failed}};
  std::vector<Entry> twice = once;
  twice.push_back(Saw{look, 1});
  CHECK(events_of(m, twice).events.size() == events_of(m, once).events.size());
  m.faults = Faults::independent;
  CHECK(events_of(m, twice).events.size() == events_of(m, once).events.size() + 1);
  // Listed faults: where a never comes with another.
  m.faults = Faults::listed;
  m.states = {{{a}, 1, {}}, {{b}, 1, {}}};
  CHECK(!may_change(m, 0, look));
  const Case c(m);
  Situation s = c.space.start();
  c.space.note_observed(s, look, 1);
  c.space.note_repaired(s, 0);
  CHECK(s.observed[look]);
}

}  // namespace
