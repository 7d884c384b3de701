// The person at the bench, as the session sees her: she is asked, she does things with her hands, she holds the run
// control. A terminal, a file of answers and the simulated bystander are three persons; the session knows none of them.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace ringout::session {

struct Choice {
  std::string id;    // what an answers file names, e.g. "clamp+"
  std::string text;  // what the person reads, e.g. "clamp: closes"
  char key = 0;      // a letter that stands for it at a terminal; 0: its number does
};

enum class Topic {
  confirm,      // "is the clamp in the middle of its travel?": yes or no
  what_acted,   // "what moved?": the choices are outputs, with + or - for the way, or "nothing"
  which_way,    // "which way did you turn it?": what was asked for comes first, "not_known" last
  seen_before,  // "has it been seen to act as drawn?": yes, no, not_yet
  step,         // one step of fault finding; whoever asks has shown it already, with what it is for
};

// A question with a closed set of answers. `id` is stable and documented (docs/answers.md).
struct Question {
  std::string id;
  Topic topic = Topic::confirm;
  std::string text;
  std::vector<Choice> choices;
  std::string unless_said = {};  // a file of answers that says nothing of it says this; empty: it must be answered
};

enum class Hand {
  watch,            // look at the robot from now on: an output is about to be moved
  work_sensor,      // press the switch, hold a board before the range sensor; `point` names the input
  turn,             // the mechanism that the input `point` senses, outputs off; she may leave it out
  let_go,           // of that sensor or mechanism
  open_disconnect,  // the supply disconnect
  close_disconnect,
};

struct HandAction {
  std::string id;
  Hand hand = Hand::work_sensor;
  std::string point;
  std::string text;
};

enum class Progress { waiting, done, cannot };

// What keeps a motion going. An acknowledgement given once is enough on a simulated robot only.
enum class RunControl { hold_to_run, acknowledged };

class Person {
 public:
  Person() = default;
  Person(const Person&) = delete;
  Person& operator=(const Person&) = delete;
  virtual ~Person() = default;

  // Answers with the id of one choice. Outputs are off and nothing is streamed while this waits.
  [[nodiscard]] virtual Result<std::string> choose(const Question& question) = 0;
  // Shows the texts and returns when she has acknowledged all of them.
  [[nodiscard]] virtual Result<void> acknowledge(const std::vector<std::string>& cautions) = 0;

  // Asks for a hand action and returns at once; the session watches the controller meanwhile.
  [[nodiscard]] virtual Result<void> begin(const HandAction& action) = 0;
  // Whether she says that it is done; asked some fifty times a second until then.
  [[nodiscard]] virtual Progress progress(const HandAction& action) = 0;

  [[nodiscard]] virtual RunControl run_control() const = 0;
  // Whether she wants the motion to go on at this moment.
  [[nodiscard]] virtual bool holding() = 0;
  // Whether she wants to end the whole job (interrupt key).
  [[nodiscard]] virtual bool wants_to_end() = 0;
};

}  // namespace ringout::session
