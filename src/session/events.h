// What a session tells while it works, as values: a terminal prints them, a file records them, a test counts them.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "capture/capture.h"
#include "capture/sample.h"
#include "link/controller.h"
#include "prove/agreement.h"
#include "units/quantity.h"

namespace ringout::session {

struct Opened {
  link::Controller controller;
  std::string where;
};

// One step of go/no-go.
enum class StepVerdict { good, bad, not_done };
[[nodiscard]] const char* name_of(StepVerdict verdict);

struct ReadyStep {
  std::string
      id;  // stable: "link", "supply", "identity", "firmware", "program", "table", "inputs", "disconnect", "load"
  std::string title;    // "supply at rest"
  std::string reading;  // "12.61 V"
  std::string limit;    // "11.60 to 13.00 V"
  std::string remedy;   // empty where good
  StepVerdict verdict = StepVerdict::not_done;
};

struct TableLoaded {
  std::size_t bytes = 0;
  std::uint32_t fingerprint = 0;
  Duration took;
};

// Something is about to move, or the person is about to be asked to do something.
struct Notice {
  std::string text;
};

struct BumpStarts {
  std::string port;
  int level_permille = 0;
  int duration_ms = 0;
};
struct BumpRecorded {
  std::string port;
  capture::BumpRecord record;
};
// What the controller carries, as it was read before anything was asked of the robot.
struct CarriedRead {
  prove::Coded coded;
};
struct HandRecorded {
  capture::HandRecord record;
};
struct PersonSaw {
  std::string port;
  capture::AnswerGiven answer;
};

// Of a point that the agent does not work: whether it has been seen to act as drawn.
struct PersonTold {
  std::string point;
  bool acts = false;
};

struct Jogging {
  std::string output;
  double level = 0.0;   // fraction, sign as the robot file says
  bool on_off = false;  // it has no way but on
};

struct ProgramAt {
  std::string state;  // "running", "ended", …
  int line = 0;
  std::string step;
  std::string waiting_for;  // "its time", "clamp_position", "a condition", or empty
};

struct StoppedAll {
  std::string why;
};

using Event = std::variant<Opened, ReadyStep, TableLoaded, Notice, CarriedRead, BumpStarts, BumpRecorded, HandRecorded,
                           PersonSaw, PersonTold, Jogging, ProgramAt, StoppedAll>;
using Observer = std::function<void(const Event&)>;

}  // namespace ringout::session
