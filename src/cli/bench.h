// A robot, its controller, whoever takes the person's part, and one session between them: what every command that talks
// to a controller opens first.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "cli/commands.h"
#include "cli/found_file.h"
#include "cli/terminal_person.h"
#include "reach/open_link.h"
#include "session/answers.h"
#include "session/session.h"

namespace ringout::cli {

struct Bench {
  robot::Robot robot;
  std::string robot_path;
  std::optional<FoundFile> found;  // what was kept beside the robot file about this machine
  std::string found_path;
  reach::OpenedLink link;
  std::unique_ptr<session::Person> person;  // asked by way of `interruptible`
  std::unique_ptr<InterruptiblePerson> interruptible;
  std::string person_words;  // "at the terminal", "a file of answers", "the simulated bystander"
  std::unique_ptr<session::Session> session;
};

enum class Moves { nothing, outputs };
enum class Pace { as_fast_as_can_be, of_the_clock };  // of a simulated robot that nobody at the terminal handles
enum class Finds { nothing, something };

enum class AnswersChecked { at_opening, by_the_caller };

// What to open, and for what. The observer hears every event after it was printed.
struct BenchRequest {
  std::string robot = {};
  LinkOptions link = {};
  std::string found = {};  // path; empty: found.json beside the robot file
  Moves moves = Moves::nothing;
  Finds finds = Finds::nothing;
  AnswersChecked answers = AnswersChecked::at_opening;
  Pace pace = Pace::as_fast_as_can_be;
  session::Observer also = {};
};

// Reads, opens the link and builds the session; says no word to the controller. Errors of reading and of opening;
// cli.no-link (on none), cli.acknowledge-on-hardware,
// cli.found-on-real-robot (findings of a simulated one would replace them), terminal.none (hold-to-run wanted without a
// terminal).
[[nodiscard]] Result<std::unique_ptr<Bench>> open_bench(const BenchRequest& request, const Folders& catalogues,
                                                        const Terminal& terminal);

// A file of answers as a person, checked line by line against what is asked of `robot`; without a robot (null) ids and
// answers are taken as they stand. `hands` may be null. Errors: of reading, cli.answers-have-errors.
[[nodiscard]] Result<std::unique_ptr<session::Person>> answers_person(const std::string& path, plant::Bystander* hands,
                                                                      const robot::Robot* robot);

// The same file by itself, with what `check` finds wrong; no function: it is taken as it stands. Errors as above.
using AnswersCheck = std::function<void(const session::Answers&, const SourceText&, Diagnostics&)>;
[[nodiscard]] Result<session::Answers> read_answers_file(const std::string& path, const AnswersCheck& check);

// What reach needs to know to open a link.
[[nodiscard]] reach::LinkSpec link_spec(const std::string& robot_path, const LinkOptions& link,
                                        const Folders& catalogues, const robot::Robot& robot);

}  // namespace ringout::cli
