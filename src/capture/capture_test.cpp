#include "capture/capture.h"

#include <doctest/doctest.h>

#include <random>

#include "capture/line.h"

using namespace ringout;
using namespace ringout::capture;

namespace {

Sample sample_at(std::int64_t clock_us) {
  return Sample{.clock_us = clock_us,
                .levels_permille = {static_cast<std::int16_t>(clock_us % 7), -250},
                .encoders = {70000, -3, 0},
                .switches = 0xA5,
                .adc = {512, 1023},
                .state = 2,
                .lost_before = clock_us % 3 == 0 ? 1 : 0};
}

Capture example() {
  Capture c{.header = {.robot = "tray_carrier",
                       .board = "nursery_mega",
                       .table_fingerprint = 0xCBF43926,
                       .bridges = 2,
                       .encoders = 3,
                       .switches = 8,
                       .adc_channels = 2},
            .entries = {}};
  BumpRecord bump{.command = {.bridge = 1, .level_permille = -300, .slope_permille_per_ms = 20, .duration_ms = 120},
                  .started_us = 2500,
                  .ended_us = 5500,
                  .cause = EndCause::end_switch};
  for (int t = 0; t < 3; ++t) {
    bump.before.push_back(sample_at(t * 1000));
    bump.during.push_back(sample_at(3000 + t * 1000));
    bump.after.push_back(sample_at(6000 + t * 1000));
  }
  bump.lost_samples = 3;
  append_record(bump, c.entries);
  HandRecord hand{.input = "lift_top", .before = {sample_at(9000)}, .during = {sample_at(9500)}, .after = {}};
  append_record(hand, c.entries);
  c.entries.emplace_back(AnswerGiven{10000, 1, "device", "mist_pump", 0});
  c.entries.emplace_back(PointCarried{"mist_pump", robot::PointKind::on_off, PointCarried::Place{5, true}});
  c.entries.emplace_back(PointCarried{"arm_tilt", robot::PointKind::bus_device, {}});
  c.entries.emplace_back(About{"on", "twin:the team's  files/~1.toml"});
  c.entries.emplace_back(About{"person", ""});
  return c;
}

}  // namespace

TEST_CASE("check value of the line check") {
  // CRC-16/IBM-3740 of "123456789" is 0x29B1 (catalogue of parametrised CRC algorithms; from memory).
  CHECK(line_check("123456789") == 0x29B1);
}

TEST_CASE("a capture reads back as it was written, with its bumps and hand actions") {
  const Capture c = example();
  Diagnostics found;
  const auto back = read_capture(SourceText("c", write_capture(c)), found);
  REQUIRE(back);
  CHECK(found.all().empty());
  CHECK(back->header == c.header);
  CHECK(back->entries == c.entries);
  const auto bumps = bump_records(*back);
  REQUIRE(bumps.size() == 1);
  CHECK(bumps[0].command.level_permille == -300);
  CHECK(bumps[0].cause == EndCause::end_switch);
  CHECK(bumps[0].before.size() == 3);
  CHECK(bumps[0].during.size() == 3);
  CHECK(bumps[0].after.size() == 3);
  CHECK(bumps[0].lost_samples == 3);
  const auto hands = hand_records(*back);
  REQUIRE(hands.size() == 1);
  CHECK(hands[0].input == "lift_top");
  CHECK(hands[0].before.size() == 1);
  CHECK(hands[0].during.size() == 1);
  CHECK(hands[0].done);
}

TEST_CASE("cut after every byte: everything before the cut line is kept, nothing is invented") {
  const Capture c = example();
  const std::string whole = write_capture(c);
  for (std::size_t n = 0; n < whole.size(); ++n) {
    Diagnostics found;
    const auto back = read_capture(SourceText("c", whole.substr(0, n)), found);
    if (!back) {
      CHECK(found.has_errors());
      continue;
    }
    REQUIRE(back->entries.size() <= c.entries.size());
    for (std::size_t i = 0; i < back->entries.size(); ++i) CHECK(back->entries[i] == c.entries[i]);
  }
}

TEST_CASE("one changed byte anywhere: the line is left out and named, no other is touched") {
  const Capture c = example();
  const std::string whole = write_capture(c);
  std::mt19937 random(4);
  for (std::size_t n = 0; n < whole.size(); ++n) {
    std::string bad = whole;
    bad[n] = static_cast<char>(static_cast<unsigned char>(bad[n]) ^ (1U << (random() % 8)));
    Diagnostics found;
    const auto back = read_capture(SourceText("c", bad), found);
    CAPTURE(n);
    REQUIRE(!found.all().empty());
    CHECK(found.all()[0].span.line >= 1);
    if (!back) continue;
    CHECK(back->entries.size() + 2 >= c.entries.size());
    for (const Entry& e : back->entries) CHECK(std::find(c.entries.begin(), c.entries.end(), e) != c.entries.end());
  }
}

TEST_CASE("messages name the line and the reason") {
  struct Case {
    const char* name;
    std::string text;
    const char* id;
    int line;
  };
  const std::string head = "ringout capture 1\n" + seal("header r b 00000001 1 1 8 1");
  const Case cases[] = {
      {"another file", "[robot]\n", "capture.not-a-capture", 1},
      {"a later format", "ringout capture 9\n", "capture.newer-format", 1},
      {"empty", "ringout capture 1\n", "capture.no-header", 1},
      {"damaged header", "ringout capture 1\nheader x\n", "capture.bad-header", 2},
      {"too many channels", "ringout capture 1\n" + seal("header r b 1 65 1 8 1"), "capture.bad-header", 2},
      {"wrong number of encoders", head + seal("s 10 0 0 1,2 ff 5 0"), "capture.bad-line", 3},
      {"no such bridge", head + seal("bump 10 1 300 20 100"), "capture.bad-line", 3},
      {"unknown cause", head + seal("ended 10 0 tired"), "capture.bad-line", 3},
      {"unknown word", head + seal("wheel 10"), "capture.bad-line", 3},
      {"negative loss", head + seal("s 10 -1 0 1 ff 5 0"), "capture.bad-line", 3},
      {"cut", head + "s 10 0", "capture.cut", 3},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Diagnostics found;
    (void)read_capture(SourceText("c", c.text), found);
    REQUIRE(found.all().size() == 1);
    CHECK(found.all()[0].id == c.id);
    CHECK(found.all()[0].span.line == c.line);
  }
}

TEST_CASE("counters continue over their wrap") {
  CHECK(unwrap32(4294967290, 4) == 4294967300);
}
