#include "bind/loop_diagram.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>

#include "bind/drawing.h"
#include "bind/sheet.h"
#include "bind/test_robot.h"
#include "tests/golden.h"

namespace ringout::bind {
namespace {

struct Element {
  std::string tag;
  std::map<std::string, std::string> attributes;
  std::string text;

  [[nodiscard]] double number(const std::string& name) const { return std::stod(attributes.at(name)); }
  [[nodiscard]] bool is(const std::string& css_class) const {
    const auto at = attributes.find("class");
    return at != attributes.end() && (" " + at->second + " ").find(" " + css_class + " ") != std::string::npos;
  }
};

std::string unescape(std::string text) {
  const std::pair<const char*, const char*> entities[] = {
      {"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&amp;", "&"}};
  for (const auto& [entity, letter] : entities) {
    for (std::size_t at = 0; (at = text.find(entity, at)) != std::string::npos;) {
      text.replace(at, std::string(entity).size(), letter);
    }
  }
  return text;
}

// Enough of XML for what Drawing writes.
std::vector<Element> parse(const std::string& svg) {
  std::vector<Element> elements;
  for (std::size_t at = 0; (at = svg.find('<', at)) != std::string::npos;) {
    const std::size_t end = svg.find('>', at);
    std::string inside = svg.substr(at + 1, end - at - 1);
    Element e;
    const std::size_t space = inside.find_first_of(" /", 1);
    e.tag = inside.substr(0, space);
    for (std::size_t from = 0; (from = inside.find("=\"", from)) != std::string::npos;) {
      const std::size_t name = inside.rfind(' ', from) + 1;
      const std::size_t close = inside.find('"', from + 2);
      e.attributes[inside.substr(name, from - name)] = unescape(inside.substr(from + 2, close - from - 2));
      from = close + 1;
    }
    if (e.tag == "text") {
      std::size_t start = end + 1;
      if (svg.compare(start, 7, "<title>") == 0) start = svg.find("</title>", start) + 8;
      e.text = unescape(svg.substr(start, svg.find("</text>", start) - start));
    }
    elements.push_back(std::move(e));
    at = end;
  }
  return elements;
}

struct Box {
  double left, top, right, bottom;
  std::string what;

  [[nodiscard]] bool meets(const Box& o) const {
    return left < o.right && o.left < right && top < o.bottom && o.top < bottom;
  }
};

Box box_of_text(const Element& e) {
  const double size = e.number("font-size");
  const Weight weight = e.attributes.count("font-weight") > 0 ? Weight::bold : Weight::regular;
  const double width = text_width(e.text, size, weight);
  const std::string& anchor = e.attributes.at("text-anchor");
  const double x = e.number("x") - (anchor == "end" ? width : anchor == "middle" ? width / 2 : 0.0);
  // Cap height 0.73 and descent 0.22 of the size hold for the usual sans-serif fonts.
  return {x, e.number("y") - 0.76 * size, x + width, e.number("y") + 0.22 * size, e.text};
}

Box box_of_line(const Element& e) {
  return {std::min(e.number("x1"), e.number("x2")), std::min(e.number("y1"), e.number("y2")),
          std::max(e.number("x1"), e.number("x2")), std::max(e.number("y1"), e.number("y2")), "line"};
}

void grow(Box& box, double x, double y) {
  box = {std::min(box.left, x), std::min(box.top, y), std::max(box.right, x), std::max(box.bottom, y), box.what};
}

// Extent of the outline of each symbol, from its drawn shapes, not from what its group claims.
std::map<std::string, Box> outlines(const std::vector<Element>& elements) {
  std::map<std::string, Box> boxes;
  std::string symbol;
  for (const Element& e : elements) {
    if (e.tag == "g") symbol = e.is("symbol") ? e.attributes.at("data-name") : "";
    if (symbol.empty() || !e.is("body")) continue;
    const auto [at, fresh] = boxes.try_emplace(symbol, Box{1e9, 1e9, -1e9, -1e9, symbol});
    if (e.tag == "line") {
      grow(at->second, e.number("x1"), e.number("y1"));
      grow(at->second, e.number("x2"), e.number("y2"));
    } else if (e.tag == "circle") {
      grow(at->second, e.number("cx") - e.number("r"), e.number("cy") - e.number("r"));
      grow(at->second, e.number("cx") + e.number("r"), e.number("cy") + e.number("r"));
    } else if (e.tag == "rect") {
      grow(at->second, e.number("x"), e.number("y"));
      grow(at->second, e.number("x") + e.number("width"), e.number("y") + e.number("height"));
    }
  }
  return boxes;
}

std::vector<Element> drawn(const robot::Robot& robot, const DiagramNotes& notes = {}) {
  const auto sheets = loop_diagram(robot, notes);
  REQUIRE(sheets.size() == 1);
  return parse(sheets[0]);
}

// A robot whose names and texts are as long as can be, fed through four depths of protection out of order.
robot::Robot awkward_robot() {
  robot::Robot robot = tray_carrier_for_tests();
  for (auto& output : robot.outputs) {
    output.name = "mmmmwwwwmmmmwwwwmmmmwwwwm_" + output.port;
    output.positive_means = "carries the heaviest of all trays toward the rear <end> & \"beyond\"";
  }
  for (auto& input : robot.inputs) {
    input.hand_action = "press the switch at the very top of the mast, and hold it until told to let go";
    input.name = "wwwwwwwwwwwwwwwwwwwwwwwww_" + input.port;
  }
  robot.protections[3].fed_from = "fuse_drive_left";
  robot.protections[4].fed_from = "fuse_lift";
  robot.outputs[0].fed_by = "fuse_aux";
  robot.outputs[6].fed_by = "fuse_drive_right";
  robot.name = "A robot of which the name is much too long for any title block that was ever drawn by anybody";
  return robot;
}

void check_ends(const std::vector<Element>& elements) {
  const auto symbols = outlines(elements);
  std::map<std::string, Box> branches;
  for (const Element& e : elements) {
    if (e.is("branch")) branches.emplace(e.attributes.at("data-name"), box_of_line(e));
  }
  std::size_t ends = 0;
  const auto check_end = [&](const std::string& terminal, double x, double y) {
    CAPTURE(terminal);
    ++ends;
    if (const auto branch = branches.find(terminal); branch != branches.end()) {
      CHECK(x == doctest::Approx(branch->second.left));
      CHECK(y >= branch->second.top - 1e-6);
      CHECK(y <= branch->second.bottom + 1e-6);
      return;
    }
    const std::size_t colon = terminal.rfind(':');
    const std::string name = terminal.substr(0, colon);
    if (symbols.count(name) == 0) {
      CHECK(name.find(".mechanism") != std::string::npos);  // an input's link ends at what it watches
      return;
    }
    const Box& body = symbols.at(name);
    CHECK(x == doctest::Approx(terminal.substr(colon + 1) == "in" ? body.left : body.right).epsilon(1e-9));
    CHECK(y > body.top);
    CHECK(y <= body.bottom);
  };
  for (const Element& e : elements) {
    if (!e.is("wire") && !e.is("link")) continue;
    CHECK(e.number("y1") == e.number("y2"));  // straight and level
    CHECK(e.number("x1") < e.number("x2"));
    check_end(e.attributes.at("data-from"), e.number("x1"), e.number("y1"));
    check_end(e.attributes.at("data-to"), e.number("x2"), e.number("y2"));
  }
  CHECK(ends > 40);
}

void check_texts(const std::vector<Element>& elements) {
  std::vector<Box> texts;
  std::vector<Box> lines;
  for (const Element& e : elements) {
    if (e.tag == "text") texts.push_back(box_of_text(e));
    if (e.is("wire") || e.is("branch") || e.is("link") || e.is("count")) lines.push_back(box_of_line(e));
  }
  for (std::size_t i = 0; i < texts.size(); ++i) {
    CAPTURE(texts[i].what);
    CHECK(texts[i].left >= sheet::left - 5.0);
    CHECK(texts[i].right <= sheet::right + 5.0);
    for (std::size_t j = i + 1; j < texts.size(); ++j) {
      CAPTURE(texts[j].what);
      CHECK_FALSE(texts[i].meets(texts[j]));
    }
    for (const Box& line : lines) CHECK_FALSE(texts[i].meets(line));
  }
}

}  // namespace

TEST_CASE("every line ends exactly at its terminals, straight and level") {
  check_ends(drawn(tray_carrier_for_tests()));
  check_ends(drawn(awkward_robot()));
}

TEST_CASE("no text meets another text or a line") {
  DiagramNotes notes{.verdicts = {}, .date = "2026-03-01", .table_fingerprint = "DEADBEEF"};
  const Mark marks[] = {Mark::proved, Mark::disagrees, Mark::silent, Mark::untested, Mark::stale};
  for (const auto& make : {tray_carrier_for_tests, awkward_robot}) {
    const robot::Robot robot = make();
    for (std::size_t i = 0; i < robot.outputs.size(); ++i) notes.verdicts[robot.outputs[i].name] = marks[i % 5];
    check_texts(drawn(robot, notes));
  }
}

TEST_CASE("symbols of one column stand in line") {
  const auto elements = drawn(tray_carrier_for_tests());
  std::map<std::string, std::set<long>> lefts;
  for (const auto& [name, box] : outlines(elements)) {
    const std::size_t dot = name.find('.');
    if (dot != std::string::npos) lefts[name.substr(dot)].insert(std::lround(box.left * 1000));
  }
  for (const char* column : {".port", ".device", ".mechanism", ".connector"}) {
    CAPTURE(column);
    CHECK(lefts[column].size() == 1);
  }
}

TEST_CASE("every point has its row, every output its whole feed") {
  const robot::Robot robot = awkward_robot();
  const auto symbols = outlines(drawn(robot));
  for (const auto& output : robot.outputs) {
    CHECK(symbols.count(output.name + ".port") == 1);
    CHECK(symbols.count(output.name + ".device") == 1);
    for (const auto& stage : feed_of(robot, output.fed_by)) CHECK(symbols.count(stage) == 1);
  }
  for (const auto& input : robot.inputs) CHECK(symbols.count(input.name + ".device") == 1);
  CHECK(symbols.count("own supply.port") == 1);
  for (const auto& stage : feed_of(robot, robot.board_fed_by)) CHECK(symbols.count(stage) == 1);
}

TEST_CASE("branches never cross a line that they do not feed") {
  for (const auto& make : {tray_carrier_for_tests, awkward_robot}) {
    const auto elements = drawn(make());
    for (const Element& branch : elements) {
      if (!branch.is("branch")) continue;
      const Box b = box_of_line(branch);
      for (const Element& wire : elements) {
        if (!wire.is("wire")) continue;
        const Box w = box_of_line(wire);
        const bool crosses = w.left < b.left - 1e-6 && w.right > b.left + 1e-6 && w.top > b.top && w.top < b.bottom;
        CAPTURE(wire.attributes.at("data-from"));
        CHECK_FALSE(crosses);
      }
    }
  }
}

TEST_CASE("more points than a sheet holds go on the next, each sheet with its own feed") {
  robot::Robot robot = tray_carrier_for_tests();
  for (int i = 0; i < 14; ++i) {
    robot.inputs.push_back(robot.inputs[0]);
    robot.inputs.back().name = "spare_" + std::to_string(i);
  }
  const auto sheets = loop_diagram(robot, {});
  REQUIRE(sheets.size() == 2);
  CHECK(sheets[0].find(">1 of 2<") != std::string::npos);
  CHECK(sheets[1].find(">2 of 2<") != std::string::npos);
  check_texts(parse(sheets[1]));
}

TEST_CASE("the loop diagram of the tray carrier is as in the golden file") {
  const DiagramNotes notes{.verdicts = {{"drive_left", Mark::proved}, {"clamp", Mark::disagrees}},
                           .date = "2026-03-01",
                           .table_fingerprint = "1A2B3C4D"};
  const std::string svg = loop_diagram(tray_carrier_for_tests(), notes)[0];
  ringout::testing::check_golden("bind/loop_diagram.svg", svg);
}

}  // namespace ringout::bind
