#include "find/case_file.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "find/interview.h"
#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;
using namespace ringout::find::testing;

TEST_CASE("a repair and an end that the model does not list any more stay a repair and an end") {
  const std::string text = head_text({"lamp", {}}) + "done\trenew the old thing\nproof\theld\t5\n";
  const Model m = dark_lamp();
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
  const Model m = dark_lamp();
  const std::vector<Entry> entries{Saw{1, 0, By::bench},
                                   CouldNotTell{2},
                                   PutAside{{Step::Kind::repair, 0}},
                                   PutAside{{Step::Kind::call, 0}},
                                   TookBack{2},
                                   Done{0},
                                   Proof{5, Proof::Result::failed},
                                   WasRight{1},
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
  const Model m = dark_lamp();
  Interview interview(m);
  for (Entry& e : entries_of(*kept, m)) interview.add(std::move(e));
  CHECK(interview.entries().size() == 3);
  CHECK(interview.answers().size() == 1);
  CHECK(interview.view().status == Status::open);
}

}  // namespace
