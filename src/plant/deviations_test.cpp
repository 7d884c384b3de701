#include "plant/deviations.h"

#include <doctest/doctest.h>

#include "robot/testing.h"

using namespace ringout;
using plant::DeviationKind;

namespace {

const robot::Robot& carrier() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

// The ids of all findings of reading and, where it reads, of checking.
std::vector<std::string> ids_of(const std::string& body) {
  const SourceText text("test.toml", "robot = \"robot.toml\"\n" + body);
  Diagnostics found;
  const auto read = plant::read_deviations(text, found);
  CHECK(read.has_value() == !found.has_errors());
  if (read) plant::check_deviations(*read, carrier(), text, found);
  std::vector<std::string> ids;
  for (const Diagnostic& d : found.all()) {
    CHECK(d.span.line > 0);
    ids.push_back(d.id);
  }
  return ids;
}

}  // namespace

TEST_CASE("every shipped deviations file reads and fits the demonstration robot") {
  for (int n = 0; n < 23; ++n) {
    const std::string name = plant::name_of(static_cast<DeviationKind>(n));
    CAPTURE(name);
    const SourceText text =
        robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/deviations/" + name + ".toml");
    Diagnostics found;
    const auto read = plant::read_deviations(text, found);
    REQUIRE(read.has_value());
    plant::check_deviations(*read, carrier(), text, found);
    for (const Diagnostic& d : found.all()) MESSAGE(render(d, &text));
    CHECK(found.all().empty());
    REQUIRE(!read->all.empty());
    CHECK(read->all.front().kind == static_cast<DeviationKind>(n));
    CHECK(read->robot_file == "../robot.toml");
    CHECK(read->seed == 7);
  }
}

TEST_CASE("values arrive in SI with their defaults left open") {
  const SourceText text("t", R"(robot = "r.toml"
[start]
lift = "120 mm"
clamp = "30 deg"
[[deviation]]
kind = "intermittent_wire"
points = ["belt"]
fraction = "25 %"
mean_open = "15 ms"
[[deviation]]
kind = "weak_battery"
state_of_charge = "20 %"
)");
  Diagnostics found;
  const auto read = plant::read_deviations(text, found);
  REQUIRE(read.has_value());
  CHECK(read->seed == 1);
  CHECK(read->start.at("lift") == doctest::Approx(0.120));
  CHECK(read->start.at("clamp") == doctest::Approx(pi / 6.0));
  CHECK(*read->all[0].fraction == doctest::Approx(0.25));
  CHECK(*read->all[0].mean_open_s == doctest::Approx(0.015));
  CHECK(*read->all[1].state_of_charge == doctest::Approx(0.20));
  CHECK(!read->all[1].resistance_factor.has_value());
  plant::check_deviations(*read, carrier(), text, found);
  CHECK(found.all().empty());
}

TEST_CASE("what is wrong in a deviations file is said by name") {
  struct Case {
    const char* name;
    const char* body;
    std::vector<std::string> ids;
  };
  const Case cases[] = {
      {"unknown kind", "[[deviation]]\nkind = \"exchangd\"\n", {"file.unknown-word"}},
      {"no kind", "[[deviation]]\npoints = [\"clamp\"]\n", {"file.missing-key"}},
      {"key of another kind", "[[deviation]]\nkind = \"old_firmware\"\nport = \"OUT1\"\n", {"file.unknown-key"}},
      {"one point to exchange",
       "[[deviation]]\nkind = \"exchanged\"\npoints = [\"clamp\"]\n",
       {"deviations.point-count"}},
      {"nothing open", "[[deviation]]\nkind = \"open_wire\"\n", {"deviations.nothing-named"}},
      {"a part without a name opens nothing",
       "[[deviation]]\nkind = \"open_wire\"\npart = \"\"\n",
       {"deviations.nothing-named"}},
      {"a part without a name blew", "[[deviation]]\nkind = \"blown_protection\"\npart = \"\"\n", {"file.empty-text"}},
      {"not weak", "[[deviation]]\nkind = \"weak_battery\"\n", {"deviations.nothing-named"}},
      {"channel C",
       "[[deviation]]\nkind = \"channel_dead\"\npoints = [\"left_encoder\"]\nchannel = \"C\"\n",
       {"file.unknown-word"}},
      {"charge over one", "[[deviation]]\nkind = \"weak_battery\"\nstate_of_charge = 1.5\n", {"file.out-of-range"}},
      {"start is a time", "[start]\nlift = \"3 s\"\n", {"deviations.start"}},
      {"start is a number", "[start]\nlift = 3\n", {"deviations.start"}},
      {"unknown point", "[[deviation]]\nkind = \"jammed\"\npoints = [\"bellt\"]\n", {"deviations.unknown-point"}},
      {"two findings at once",
       "[start]\nmast = \"1 mm\"\n[[deviation]]\nkind = \"blown_protection\"\npart = \"fuse_lif\"\n",
       {"deviations.unknown-part", "deviations.unknown-start"}},
      {"motor wanted", "[[deviation]]\nkind = \"jammed\"\npoints = [\"warning_lamp\"]\n", {"deviations.wrong-point"}},
      {"encoder wanted",
       "[[deviation]]\nkind = \"channels_swapped\"\npoints = [\"lift_top\"]\n",
       {"deviations.wrong-point"}},
      {"itself", "[[deviation]]\nkind = \"exchanged\"\npoints = [\"clamp\", \"clamp\"]\n", {"deviations.same-point"}},
      {"switch and encoder",
       "[[deviation]]\nkind = \"exchanged\"\npoints = [\"lift_top\", \"left_encoder\"]\n",
       {"deviations.not-exchangeable"}},
      {"unknown port",
       "[[deviation]]\nkind = \"on_port\"\npoints = [\"belt\"]\nport = \"OUT9\"\n",
       {"deviations.unknown-port"}},
      {"taken port",
       "[[deviation]]\nkind = \"on_port\"\npoints = [\"belt\"]\nport = \"OUT1\"\n",
       {"deviations.port-taken"}},
      {"other kind of port",
       "[[deviation]]\nkind = \"on_port\"\npoints = [\"belt\"]\nport = \"SW8\"\n",
       {"deviations.wrong-port"}},
      {"unknown device",
       "[[deviation]]\nkind = \"wrong_device\"\npoints = [\"belt\"]\ndevice = \"belt_motor\"\n",
       {"deviations.unknown-device"}},
      {"encoder for a motor",
       "[[deviation]]\nkind = \"wrong_device\"\npoints = [\"belt\"]\ndevice = \"encoder_12\"\n",
       {"deviations.wrong-device"}},
      {"no end switches",
       "[[deviation]]\nkind = \"end_switches_exchanged\"\npoints = [\"belt\"]\n",
       {"deviations.no-end-switches"}},
      {"start beyond travel", "[start]\nlift = \"1 m\"\n", {"deviations.start-outside"}},
      {"start in degrees", "[start]\nlift = \"10 deg\"\n", {"deviations.wrong-start-unit"}},
      {"syntax", "[[deviation]\n", {"file.syntax"}},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    CHECK(ids_of(c.body) == c.ids);
  }
}

TEST_CASE("a point that the simulated robot does not have cannot deviate there") {
  robot::Robot with_servo = carrier();
  robot::Output flap = *with_servo.output("warning_lamp");
  flap.name = "flap";
  flap.kind = robot::PointKind::servo;
  with_servo.outputs.push_back(flap);
  const SourceText text("t", "robot = \"r.toml\"\n[[deviation]]\nkind = \"dead_device\"\npoints = [\"flap\"]\n");
  Diagnostics found;
  const auto read = plant::read_deviations(text, found);
  REQUIRE(read.has_value());
  plant::check_deviations(*read, with_servo, text, found);
  REQUIRE(found.all().size() == 1);
  CHECK(found.all()[0].id == std::string("deviations.not-simulated"));
}

TEST_CASE("the page about deviations files has every kind") {
  const SourceText page = robot::testing::load_text(RINGOUT_SOURCE_DIR, "docs/deviations.md");
  for (int k = 0; k <= static_cast<int>(DeviationKind::other_program); ++k) {
    const std::string kind = std::string("`") + plant::name_of(static_cast<DeviationKind>(k)) + "`";
    CAPTURE(kind);
    CHECK(page.text().find(kind) != std::string::npos);
  }
}
