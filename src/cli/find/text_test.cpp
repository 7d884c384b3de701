#include "cli/find/text.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "cli/find/json.h"
#include "find/model_file.h"
#include "tests/golden.h"

namespace {

using namespace ringout;
using namespace ringout::cli;

const char* const lift = R"([model]
name = "lift does not move"
faults = "independent"
call_cost = 120
check_cost = 1
[[part]]
name = "lift wire"
fault = [{ name = "open", prior = 0.01 }, { name = "reversed", prior = 0.02 }]
[[part]]
name = "lift motor"
prior = 0.005
[[part]]
name = "fuse of the lift"
prior = 0.03
[[place]]
name = "deck cover"
open_cost = 4
close_cost = 2
[[check]]
name = "command the lift"
cost = 0.2
outcomes = ["moves", "wrong way", "nothing"]
sees = [{ fault = "lift wire.open", chance = [0, 0, 1] }, { fault = "lift wire.reversed", chance = [0.02, 0.88, 0.1] },
        { fault = "lift motor", chance = [0.1, 0, 0.9] }, { fault = "fuse of the lift", chance = [0, 0, 1] }]
[[check]]
name = "look at the fuse"
cost = 1
outcomes = ["whole", "blown"]
sees = [{ fault = "fuse of the lift", chance = [0.05, 0.95] }]
instructions = "Take the fuse of the lift out of the fuse box and hold it against the light: is its strip whole from end to end?"
caution = "Supply off before hands go in."
[[check]]
name = "ohms at the lift connector"
cost = 3
place = "deck cover"
outcomes = ["as computed", "open"]
sees = [{ fault = "lift wire.open", chance = [0.02, 0.98] }]
[[repair]]
name = "renew the lift wire"
cost = 15
place = "deck cover"
mends = [{ faults = ["lift wire.open", "lift wire.reversed"], chance = 0.99 }]
[[repair]]
name = "replace the lift motor"
cost = 40
mends = [{ fault = "lift motor" }]
[[repair]]
name = "new fuse for the lift"
cost = 2
mends = [{ fault = "fuse of the lift" }]
[[symptom]]
check = "command the lift"
outcome = "nothing"
)";

find::Model model() {
  Diagnostics found;
  const auto read = find::read_model(SourceText("lift.toml", lift), found);
  REQUIRE(read);
  return *read;
}

// Everything that a case shows until it has gone as far as the entries do.
struct Shown {
  std::string text;
  std::string json;
};
Shown shown(const CaseSubject& subject, const std::vector<find::Entry>& entries) {
  find::Interview interview(subject.model);
  Shown out{opening_text(subject), json_begin(subject, "lift.case", {})};
  for (std::size_t i = 0; i <= entries.size(); ++i) {
    const find::View view = interview.view();
    out.json += json_now(subject, view, interview.entries());
    if (view.diagnosis) out.text += diagnosis_text(subject, view, interview.entries(), Colour::off);
    out.text += suspects_text(subject, view, Colour::off);
    out.text += doubts_text(subject.model, view, interview.entries(), Colour::off);
    std::optional<find::Ask> ask;
    if (view.status == find::Status::contradiction) ask = find::ask_doubt(interview, view);
    if (view.status == find::Status::to_prove) ask = find::ask_proof();
    if (view.next) ask = find::ask_step(subject.model, view.next->step, view.next->alternatives.front().cost);
    if (ask) {
      out.text += ask_text(*ask, Colour::off);
      for (const find::Choice& choice : ask->choices) out.text += "  " + choice.id + ": " + choice.text + "\n";
      for (const find::Reading& reading : view.readings) out.text += "    " + reading_text(subject, reading) + "\n";
      out.json += json_ask(*ask);
    }
    if (view.next) out.text += why_text(subject, view);
    if (i == entries.size()) break;
    out.text += "\n" + entry_text(subject.model, entries[i], interview.entries());
    out.json += json_entry(subject.model, entries[i], interview.entries());
    interview.add(entries[i]);
  }
  out.json += json_case(subject, {"lift.case", interview.view(), find::Ended::quit, interview.entries()}) + "\n";
  return out;
}

std::size_t widest(const std::string& text) {
  std::size_t most = 0;
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    most = std::max(most, columns_of(text.substr(begin, end - begin)));
    begin = end + 1;
  }
  return most;
}

TEST_CASE("a case as a person reads it, in 80 columns, and as a program does") {
  const CaseSubject subject = subject_of(model());
  const Shown mended = shown(subject, {find::Saw{1, 1}, find::Done{2}, find::Proof{5, find::Proof::Result::failed},
                                       find::Saw{2, 1, find::By::bench}});
  testing::check_golden("cli/find_case.txt", mended.text);
  testing::check_golden("cli/find_case.jsonl", mended.json);
  CHECK(widest(mended.text) <= 80);
}

TEST_CASE("what a repair that helped tells is in the chance, and what hardly tells anything is left out") {
  const CaseSubject subject = subject_of(model());
  find::Interview interview(subject.model);
  interview.add(find::Saw{2, 0});
  interview.add(find::Done{2});
  interview.add(find::Proof{5, find::Proof::Result::held});
  const find::View view = interview.view();
  REQUIRE(view.diagnosis);
  const std::string text = diagnosis_text(subject, view, interview.entries(), Colour::off);
  CAPTURE(text);
  CHECK(text.find("FOUND (100 %): fuse of the lift") != std::string::npos);
  CHECK(text.find("82 % before the repair that") != std::string::npos);
  find::Diagnosis weak = *view.diagnosis;
  weak.evidence.front().for_it = {{0, std::log(1.5)}};
  weak.evidence.front().against_it = {{0, std::log(1 / 1.1)}};
  find::View other = view;
  other.diagnosis = weak;
  const std::string few = diagnosis_text(subject, other, interview.entries(), Colour::off);
  CHECK(few.find("(1.5 times likelier)") != std::string::npos);
  CHECK(few.find("against it") == std::string::npos);
}

TEST_CASE("answers that hardly agree are named, the most doubtful first") {
  find::View view;
  const std::vector<find::Entry> entries{find::Saw{2, 1, find::By::bench}, find::Saw{1, 0}};
  CHECK(doubts_text(model(), view, entries, Colour::off).empty());
  view.conflict.doubts = {{1, -3.0}, {0, -5.0}};
  const std::string text = doubts_text(model(), view, entries, Colour::off);
  testing::check_golden("cli/find_doubts.txt", text);
  CHECK(widest(text) <= 80);
  view.status = find::Status::to_prove;
  CHECK(doubts_text(model(), view, entries, Colour::off).empty());
}

// Four parts, ten faults each: one fault at `first`, all others alike.
find::View forty_suspects(CaseSubject& subject, double first) {
  for (find::Index part = 0; part < 4; ++part) {
    subject.model.parts.push_back({"part_" + std::to_string(part), {}});
    for (int k = 0; k < 10; ++k) {
      subject.model.modes.push_back({std::to_string(k), part, 0.1, {}});
      subject.faults.push_back("fault " + std::to_string(subject.faults.size()));
    }
  }
  find::View view;
  for (find::Index m = 0; m < 40; ++m) view.suspects.push_back({m, m == 0 ? first : (1 - first) / 39});
  view.next.emplace();
  view.next->alternatives.emplace_back();
  return view;
}

TEST_CASE("suspects stand down to nine tenths of the belief, the others by part, and all of them under why") {
  CaseSubject spread, sure;
  const std::string even = suspects_text(spread, forty_suspects(spread, 0.025), Colour::off);
  CHECK(even.find("fault 11\n") != std::string::npos);
  CHECK(even.find("fault 12\n") == std::string::npos);
  CHECK(even.find("and 28 more, each at most 2 %: part_1 (8),") != std::string::npos);
  CHECK(even.find("part_3") != std::string::npos);
  CHECK(widest(even) <= 80);
  const find::View certain = forty_suspects(sure, 0.95);
  const std::string short_list = suspects_text(sure, certain, Colour::off);
  CHECK(short_list.find("fault 5\n") != std::string::npos);
  CHECK(short_list.find("fault 6\n") == std::string::npos);
  CHECK(why_text(sure, certain).find("fault 39\n") != std::string::npos);
}

TEST_CASE("a time that only looks one step ahead says so") {
  CaseSubject subject;
  find::View view = forty_suspects(subject, 0.95);
  view.next->alternatives.front().expected = 20;
  CHECK(why_text(subject, view).find("about 20 min, looking one step ahead") != std::string::npos);
  view.next->alternatives.front().priced = find::Alternative::Priced::searched;
  CHECK(why_text(subject, view).find(": 20 min on average, and nothing") != std::string::npos);
  view.next->alternatives.front().expected.reset();
  CHECK(why_text(subject, view).find("No way to the end is left") != std::string::npos);
  CHECK(why_text(subject, view).find("From here to the end") == std::string::npos);
}

TEST_CASE("chances and times are said as people say them") {
  CHECK(chance_text(1.0) == "100 %");
  CHECK(chance_text(0.9999) == "> 99 %");
  CHECK(chance_text(0.723) == "72 %");
  CHECK(chance_text(0.004) == "0.4 %");
  CHECK(chance_text(0.0) == "< 0.1 %");
  CHECK(minutes_text(0.05) == "5 s");
  CHECK(minutes_text(0.5) == "30 s");
  CHECK(minutes_text(3.2) == "3 min");
  CHECK(minutes_text(150) == "2.5 h");
}

TEST_CASE(
    "an entry that the bench made stands below its check while it is made, and with its name when it is taken up") {
  const find::Model m = model();
  const find::Entry fuse = find::Saw{1, 1, find::By::bench};
  CHECK(entry_text(m, fuse, {}) == "       blown\n");
  CHECK(kept_text(m, fuse) == "kept   look at the fuse: blown\n");
}

TEST_CASE("what is taken back is named, not counted") {
  const find::Model m = model();
  const std::vector<find::Entry> before{find::CouldNotTell{2}, find::Saw{1, 1, find::By::bench}};
  CHECK(entry_text(m, find::TookBack{1}, before) == "kept   took back: look at the fuse: blown\n");
  CHECK(json_entry(m, find::TookBack{0}, before).find("took back: ohms at the lift connector: could not be told") !=
        std::string::npos);
}

TEST_CASE("what came of the bench's own tries is said") {
  CHECK(tried_text(find::Proof::Result::held) == "       it holds, 5 times\n");
  CHECK(tried_text(find::Proof::Result::failed) == "       still wrong\n");
  CHECK(tried_text(std::nullopt).find("left to you") != std::string::npos);
}

TEST_CASE("what a history has moved is said, row by row") {
  const find::Model before = model();
  find::History history;
  for (int i = 0; i < 3; ++i) find::record(history, before, {{3}, {}});
  const std::vector<std::string> rows = taught(before, find::learned(before, history), history);
  REQUIRE(rows.size() == 1);
  CHECK(rows.front() == "fuse of the lift: 3 % at the start, 16 % now, found in 3 of 3 cases");
}

}  // namespace
