#include "find/model_file.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>

#include "find/find.h"
#include "find/testing.h"

namespace {

using namespace ringout;
using namespace ringout::find;

const char* const lamp = R"([model]
name = "lamp stays dark"
faults = "independent"
call_cost = 100

[[part]]
name = "bulb"
prior = 0.1
[[part]]
name = "fuse"
fault = [{ name = "blown", prior = 0.05 }, { name = "loose", prior = 0.01 }]

[[place]]
name = "cover"
open_cost = 4

[[check]]
name = "lamp"
cost = 0
outcomes = ["lit", "dark"]
sees = [{ fault = "bulb", chance = [0, 1] }, { fault = "fuse.blown", chance = [0, 1] },
        { fault = "fuse.loose", chance = [0.2, 0.8] }, { faults = ["bulb", "fuse.loose"], chance = [0, 1] }]
[[check]]
name = "look at the fuse"
cost = 1
place = "cover"
line = 4
outcomes = ["whole", "blown"]
healthy = [0.98, 0.02]
sees = [{ fault = "fuse.blown", chance = [0.05, 0.95] }]
needs = [{ check = "lamp", outcome = "dark" }]

[[repair]]
name = "replace the bulb"
cost = 3
mends = [{ fault = "bulb" }]
[[repair]]
name = "replace the fuse"
cost = 2
place = "cover"
mends = [{ faults = ["fuse.blown", "fuse.loose"], chance = 0.99 }]

[[symptom]]
check = "lamp"
outcome = "dark"
)";

TEST_CASE("a model is read whole") {
  Diagnostics found;
  const std::optional<Model> m = read_model({"lamp.toml", lamp}, found);
  for (const Diagnostic& d : found.all()) MESSAGE(d.message);
  REQUIRE(m);
  CHECK(m->modes.size() == 3);
  CHECK(full_name(*m, 2) == "fuse.loose");
  CHECK(m->observations[0].joint.size() == 1);
  CHECK(m->observations[1].line == 4);
  CHECK(m->repairs[1].mends.size() == 2);
  CHECK(*m->repairs[1].place == 0);
  const testing::Case c(*m);
  CHECK(c.posterior.marginals()[0] > 0.5);
}

struct Broken {
  const char* from;
  const char* to;
  const char* id;
  int line;
};

std::string with(const char* from, const char* to) {
  std::string text = lamp;
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, std::string(from).size(), to);
}

TEST_CASE("a broken model gives file, line and column") {
  for (const Broken& b :
       {Broken{"prior = 0.1\n", "prior = 1.5\n", "model.prior", 6},
        Broken{"fault = \"bulb\", chance = [0, 1]", "fault = \"bulb\", chance = [0, 2]", "model.chances", 21},
        Broken{"\"fuse.loose\"], chance = [0, 1]", "\"fuse.loose\"], chance = [0, 2]", "model.chances", 22},
        Broken{"{ fault = \"fuse.loose\", chance",
               "{ fault = \"bulb\", chance = [0, 1] }, { fault = \"fuse.loose\", chance", "model.twice", 22},
        Broken{"chance = [0, 1] }]\n[[check]]",
               "chance = [0, 1] },\n{ faults = [\"fuse.loose\", \"bulb\"], chance = [0, 1] }]\n[[check]]",
               "model.twice", 23},
        Broken{"needs = [{ check = \"lamp\", outcome = \"dark\" }]", "needs = [{ check = \"look at the fuse\" }]",
               "model.needs", 23},
        Broken{"[[symptom]]", "[[symptom]]\ncheck = \"lamp\"\noutcome = \"dark\"\n[[symptom]]", "model.twice", 46},
        Broken{"[[symptom]]", "[[symptom]]\ncheck = \"lamp\"\noutcome = \"lit\"\n[[symptom]]", "model.twice", 46},
        Broken{"healthy = [0.98, 0.02]", "healthy = [0.98]", "model.chances", 23},
        Broken{"place = \"cover\"", "place = \"covre\"", "model.unknown-name", 26},
        Broken{"outcome = \"dark\" }]", "outcome = \"drak\" }]", "model.unknown-name", 31},
        Broken{"cost = 3", "cost = -3", "file.out-of-range", 35}, Broken{"call_cost = 100\n", "\n", "model.no-end", 11},
        Broken{"chance = [0.2, 0.8]", "chance = \"often\"", "model.numbers", 22},
        Broken{"name = \"replace the fuse\"", "name = \"replace the bulb\"", "model.same-name", 37},
        Broken{"prior = 0.01 }]", "prior = 0.01 }, { name = \"blown\", prior = 0.01 }]", "model.same-name", 11},
        Broken{"[\"lit\", \"dark\"]", "[\"dark\", \"dark\"]", "model.same-name", 17},
        Broken{"\n[[symptom]]",
               "\n[[check]]\nname = \"hum\"\ncost = 0\noutcomes = [\"none\", \"loud\"]\n"
               "[[symptom]]\ncheck = \"hum\"\noutcome = \"loud\"\n[[symptom]]",
               "model.symptoms", 47}}) {
    CAPTURE(std::string(b.to));
    Diagnostics found;
    CHECK(!read_model({"lamp.toml", with(b.from, b.to)}, found));
    REQUIRE(!found.all().empty());
    const bool named =
        std::any_of(found.all().begin(), found.all().end(), [&](const Diagnostic& d) { return d.id == b.id; });
    CHECK(named);
    for (const Diagnostic& d : found.all()) {
      CHECK(d.span.line == b.line);
      CHECK(d.span.column > 0);
    }
  }
}

TEST_CASE("a hint can be written as it stands") {
  const auto hint = [](const std::string& text) {
    Diagnostics found;
    CHECK(!read_model({"lamp.toml", text}, found));
    REQUIRE(!found.all().empty());
    return found.all().front().hint;
  };
  CHECK(hint(with("name = \"lamp stays dark\"\n", "")) == "write for example: name = \"lift does not move\"");
  CHECK(hint("[[part]]\nname = \"bulb\"\n") == "write for example: model = { name = \"lift does not move\" }");
  CHECK(hint(with("check = \"lamp\"\noutcome", "outcome")) == "write for example: check = \"its name\"");
}

TEST_CASE("symptoms that exclude each other are named together, and no others") {
  Model m;
  const Index a = testing::add_fault(m, "a", 0.1), b = testing::add_fault(m, "b", 0.1);
  testing::add_check(m, "sees a", 1, {{a, 1.0}});
  testing::add_check(m, "sees b", 1, {{b, 1.0}});
  testing::add_check(m, "sees both", 1, {{a, 1.0}, {b, 1.0}});
  m.symptoms = {{2, 1}};
  CHECK(impossible_symptoms(m).empty());
  m.symptoms = {{2, 1}, {0, 1}, {1, 1}};
  CHECK(impossible_symptoms(m) == std::vector<std::size_t>{1, 2});
}

TEST_CASE("the example of the documentation is read and solved") {
  std::ifstream page(RINGOUT_SOURCE_DIR "/docs/find_model.md");
  REQUIRE(page.good());
  std::string text;
  bool inside = false;
  for (std::string line; std::getline(page, line);) {
    inside = inside || line == "    [model]";
    if (line.starts_with("Faults are")) break;
    if (inside) text += (line.size() > 4 ? line.substr(4) : "") + "\n";
  }
  Diagnostics found;
  const std::optional<Model> m = read_model({"find_model.md", text}, found);
  for (const Diagnostic& d : found.all()) MESSAGE(d.span.line << " " << d.message);
  REQUIRE(m);
  const testing::Case c(*m);
  const std::unique_ptr<Strategy> best = make_strategy(StrategyKind::best);
  const ExpectedCost cost = expected_cost(c.space, *best);
  CHECK(cost.exact);
  CHECK(cost.cost > 15);
  CHECK(cost.cost < *m->call_cost);
}

TEST_CASE("every cut of a model is refused or read, never worse") {
  const std::string text = lamp;
  for (std::size_t n = 0; n < text.size(); n += 7) {
    Diagnostics found;
    const std::optional<Model> m = read_model({"lamp.toml", text.substr(0, n)}, found);
    CHECK((m.has_value() || found.has_errors()));
    if (m) CHECK(problems(*m).empty());
  }
}

TEST_CASE("more different needs than can be kept account of are refused") {
  Model m;
  const Index a = testing::add_fault(m, "a", 1);
  m.call_cost = 1;
  for (Index i = 0; i < 40; ++i) testing::add_check(m, "check " + std::to_string(i), 1, {{a, 1.0}});
  const Index repair = testing::add_repair(m, "ra", 1, {{a, 1.0}});
  for (Index i = 0; i < 32; ++i) m.repairs[repair].needs.insert(m.repairs[repair].needs.end(), {{i, 0}, {i, 1}});
  m.observations[39].needs.push_back({0, 1});  // one of those
  CHECK(problems(m).empty());
  m.observations[39].needs.push_back({38, {}});
  REQUIRE(problems(m).size() == 1);
  CHECK(problems(m).front().id == "model.too-large");
}

}  // namespace
