// What a session says to the person: cautions, questions, hand actions, and every reason for which it does not go on.
#include <doctest/doctest.h>

#include "session/cautions.h"
#include "session/session.h"
#include "session/simulated_person.h"
#include "tests/golden.h"
#include "twin_bench.h"

namespace ringout::device_tests {
namespace {

using session::Session;
using testing::shown;

enum class Does { everything, leaves_disconnect, sees_no_room, answers_nonsense, never_holds, goes };

// The simulated person, with everything she is told written down; in one thing she may be contrary.
class NotingPerson : public session::SimulatedPerson {
 public:
  NotingPerson(plant::Bystander& hands, Does does) : SimulatedPerson(hands), does_(does) {}

  std::string told;

  [[nodiscard]] Result<std::string> choose(const session::Question& question) override {
    told += question.id + "\n  " + question.text + "\n";
    if (question.topic == session::Topic::confirm) {
      for (const auto& choice : question.choices) told += "  " + choice.id + ": " + choice.text + "\n";
      if (does_ == Does::sees_no_room) return "no";
    } else if (does_ == Does::answers_nonsense) {
      return "a cat";
    }
    return SimulatedPerson::choose(question);
  }
  [[nodiscard]] Result<void> begin(const session::HandAction& action) override {
    told += action.id + "\n  " + action.text + "\n";
    return does_ == Does::leaves_disconnect ? Result<void>{} : SimulatedPerson::begin(action);
  }
  [[nodiscard]] bool holding() override { return does_ != Does::never_holds; }
  [[nodiscard]] bool wants_to_end() override { return does_ == Does::goes; }

 private:
  Does does_;
};

// What the person hears when she tries `act` as one who `does`, on a controller with or without a table.
template <class Act>
std::string heard(const char* name, Does does, Table table, Act act) {
  Bench bench = make_bench("connector_repair", table);
  NotingPerson person(bench.twin->bystander(), does);
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  const std::optional<Error> error = act(session);
  CAPTURE(name);
  REQUIRE(error);
  return std::string("# ") + name + "\n" + shown(*error);
}

template <class Value>
std::optional<Error> error_in(const Result<Value>& result) {
  if (result) return std::nullopt;
  return result.error();
}

const auto proving = [](Session& session) { return session.prove({}).ended_early; };
const auto jogging = [](const char* output, double level) {
  return [=](Session& session) { return error_in(session.jog({.output = output, .level = level})); };
};
const auto running = [](Session& session) { return error_in(session.run({})); };

}  // namespace

TEST_CASE("the reasons for which a session does not go on are as in the golden file") {
  std::string text;
  text += heard("no table", Does::everything, Table::none, proving);
  text += heard("an output that does not exist", Does::everything, Table::loaded, jogging("lid", 0.1));
  text += heard("more than an unproved port may have", Does::everything, Table::loaded, jogging("lift", 0.9));
  text += heard("no program built in", Does::everything, Table::loaded, running);
  text += heard("the disconnect does not cut", Does::leaves_disconnect, Table::loaded, jogging("lift", 0.1));
  text += heard("no room", Does::sees_no_room, Table::loaded, proving);
  text += heard("an answer that is none", Does::answers_nonsense, Table::loaded, proving);
  text += heard("the run control is not held", Does::never_holds, Table::loaded, jogging("warning_lamp", 0.1));
  text += heard("the interrupt key", Does::goes, Table::loaded, proving);
  testing::check_golden("session/reasons.txt", text);
}

TEST_CASE("cautions, questions and hand actions are as in the golden file") {
  Bench bench = make_bench("connector_repair", Table::loaded);
  NotingPerson person(bench.twin->bystander(), Does::everything);
  Session session({.robot = bench.robot, .stream = *bench.line, .person = person});
  REQUIRE(session.open());
  REQUIRE_FALSE(session.prove({}).ended_early);
  std::string text = "# Cautions\n";
  for (const std::string& caution : session::cautions(bench.robot)) text += caution + "\n";
  testing::check_golden("session/asked.txt", text + "\n# Asked while proving\n" + person.told);
}

}  // namespace ringout::device_tests
