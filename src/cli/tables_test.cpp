#include "cli/tables.h"

#include <doctest/doctest.h>

#include <sstream>

#include "cli/golden.h"

namespace ringout::cli {
namespace {

using prove::AgreementRow;
using prove::Verdict;
using robot::Discipline;
using robot::PointKind;

AgreementRow row(const char* point, const char* drawn, const char* coded, const char* found, Verdict verdict,
                 std::optional<Discipline> by = {}, const char* person = "", const char* what_to_do = "") {
  AgreementRow r;
  r.point = point;
  r.drawn = drawn;
  r.coded = coded;
  r.found = found;
  r.verdict = verdict;
  r.settled_by = by;
  r.person = person;
  r.what_to_do = what_to_do;
  return r;
}

prove::Agreement every_verdict() {
  return {{row("drive_left", "OUT1", "OUT1", "OUT1", Verdict::proved),
           row("clamp", "OUT4", "OUT4", "OUT6", Verdict::disagrees, Discipline::wiring, "Wim",
               "move the plug of clamp from OUT6 to OUT4, or write port = \"OUT6\" in the robot file; then load the "
               "table and prove again"),
           row("mist_pump", "OUT6", "OUT6", "no answer", Verdict::silent, Discipline::wiring, "Wim",
               "follow the current from fuse_pump to mist_pump: protection, port, lead, plug, winding"),
           row("belt_encoder", "ENC4 reversed", "ENC4", "not tested", Verdict::untested, Discipline::programming, ""),
           row("lift_top", "SW2", "not in the program", "SW2", Verdict::stale, Discipline::programming, "Petra",
               "prove it again: its wiring was changed since"),
           row("a_name_that_is_far_too_long_for_it", "OUT8 reversed", "OUT8 reversed, and more words than fit",
               "OUT12 reversed, one channel dead", Verdict::disagrees, Discipline::mechanics, "Bartholomew the Elder",
               "look")}};
}

std::size_t widest_line(const std::string& text) {
  std::size_t widest = 0;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) widest = std::max(widest, columns_of(line));
  return widest;
}

session::Meters meters() {
  session::Meters m;
  m.supply = volts(12.41);
  m.waiting_line = "line 31 (lift the tray), waits for lift_encoder";
  m.points = {{"lift", 0.4, 0.11, 0.108, "m/s"},       {"drive_left", -0.75, -3.2, -0.4, "rad/s"},
              {"mist_pump", 0.3, {}, {}, "", true},    {"lift_encoder", {}, {}, 0.153, "m"},
              {"lift_top", {}, {}, 0.0, ""},           {"tray_present", {}, {}, 1.0, ""},
              {"clamp_position", {}, {}, 1.047, "rad"}};
  return m;
}

}  // namespace

TEST_CASE("the agreement table is as in the golden file, within 100 columns") {
  const std::string text = agreement_text(every_verdict(), Colour::off);
  check_golden("agreement.txt", text);
  CHECK(widest_line(text) <= 100);
  CHECK(widest_line(agreement_text(every_verdict(), Colour::on)) <= 100);
}

TEST_CASE("colour never says what no sign and word say") {
  const std::string coloured = agreement_text(every_verdict(), Colour::on);
  std::string plain;
  for (std::size_t i = 0; i < coloured.size(); ++i) {
    if (coloured[i] == '\x1b') {
      while (coloured[i] != 'm') ++i;
    } else {
      plain += coloured[i];
    }
  }
  // Only padding may differ.
  const auto squeezed = [](const std::string& text) {
    std::string out;
    for (const char c : text) {
      if (c != ' ') out += c;
    }
    return out;
  };
  CHECK(squeezed(plain) == squeezed(agreement_text(every_verdict(), Colour::off)));
}

TEST_CASE("steps of go/no-go and meters are as in the golden files") {
  std::string steps;
  steps += ready_step_text({"supply", "supply at rest", "12.61 V", "11.60 to 13.00 V", "", session::StepVerdict::good},
                           Colour::off);
  steps += ready_step_text({"table", "point table",
                            "the controller carries another table: clamp, mist_pump differ from "
                            "the robot file",
                            "the table of this robot file", "load it: ringout load; it takes seconds and no compiler",
                            session::StepVerdict::bad},
                           Colour::off);
  steps += ready_step_text({"load", "first small load", "", "", "", session::StepVerdict::not_done}, Colour::off);
  check_golden("ready_steps.txt", steps);
  CHECK(widest_line(steps) <= 100);
  check_golden("meters.txt", meters_table(meters(), Colour::off) + "\n" + meters_line(meters(), 1.2));
  CHECK(widest_line(meters_table(meters(), Colour::off)) <= 100);
}

TEST_CASE("a jog says what was commanded, whether anything moved, what bounded it and what to do next") {
  robot::Output lift;
  lift.name = "lift";
  robot::Output pump;
  pump.name = "mist_pump";
  pump.kind = PointKind::on_off;
  const session::JogOptions asked{.output = "lift", .level = -0.1, .at_most = Duration::milliseconds(2000)};
  session::Jog jog{.level = -0.1,
                   .most_level = 0.1,
                   .driven = Duration::milliseconds(52),
                   .at_most = Duration::milliseconds(50),
                   .proved = false,
                   .ended_by = "its time was over",
                   .watched = {"lift_encoder", "lift_top"}};
  std::string text = "not proved, nothing moved:\n" + jog_text(lift, asked, jog);
  text += "\nswitched on and off:\n" + jog_text(pump, asked, jog);
  jog.changed = {"lift_encoder"};
  text += "\nmoved:\n" + jog_text(lift, asked, jog);
  jog.changed.clear();
  jog.proved = true;
  jog.at_most = asked.at_most;
  jog.most_level = 0.8;
  text += "\nproved, nothing moved:\n" + jog_text(lift, asked, jog);
  jog.watched.clear();
  text += "\nno sensor:\n" + jog_text(lift, asked, jog);
  check_golden("jog.txt", text);
  CHECK(widest_line(text) <= 100);
}

TEST_CASE("text is broken at spaces and never longer than asked") {
  CHECK(wrapped("one two three", 7, 2) == "one two\n  three");
  CHECK(wrapped("", 7, 2).empty());
  CHECK(wrapped("a day of 11 %, then", 11, 0) == "a day of\n11 %, then");
  CHECK(wrapped("at least (5.03 to 5.95 A); none", 20, 0) == "at least (5.03 to\n5.95 A); none");
  CHECK(wrapped("line 11 of it", 7, 0) == "line 11\nof it");
  CHECK(columns_of("\x1b[32m±é\x1b[0m") == 2);
  CHECK(padded("±", 3) == "±  ");
}

TEST_CASE("every error reads the same way") {
  CHECK(error_text({ErrorKind::unreachable, "x.y", "it is gone", "plug it in"}, Colour::off) ==
        "ringout: it is gone\nhint: plug it in\n");
  CHECK(error_text({ErrorKind::unreachable, "x.y", "it is gone", ""}, Colour::off) == "ringout: it is gone\n");
}

}  // namespace ringout::cli
