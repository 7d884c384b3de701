// The conversation of a case: the bench makes what it can by itself, the person is asked for one thing at a time, and
// each entry is kept before the case goes on. Whoever calls this says how a bench observes, a person answers and a case
// is kept; nothing here knows them.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "find/interview.h"

namespace ringout::find {

struct Choice {
  std::string id;                 // what a script answers, e.g. "nothing", "cant_tell"
  std::string text;               // what the person reads
  char key = 0;                   // a letter that stands for it at a terminal; 0: by number
  FaultSet faults = {};           // of a question what it was: this
  std::optional<Step> step = {};  // of a question what was done instead: this
};

struct Ask {
  enum class Kind {
    check,          // one outcome of a check
    ready,          // a check that the bench makes with her: shall it?
    repair,         // carry it out
    call,           // call for help
    prove,          // try the machine several times in a row
    contradiction,  // which answer is to be doubted
    found,          // what it was in the end
    instead,        // what was done instead
    take_back,      // which entry
    stuck,          // nothing is left to do
  } kind = Kind::check;
  std::string id;    // "check.look_at_the_fuse"; docs/answers.md
  std::string text;  // the question or the name of the step
  std::string instructions;
  std::string caution;
  double cost = 0.0;
  std::vector<Choice> choices;
  std::optional<Step> step = {};  // of check, repair and call
};

// What the bench made of an observation.
struct Observed {
  enum class How {
    seen,            // `outcome`
    cannot_tell,     // made, and nothing can be said of it
    not_made,        // refused: it took no time, and is not offered again
    ask_the_person,  // hers to tell
  } how = How::seen;
  Index outcome = 0;
  std::string words = {};     // what was read
  bool nothing_more = false;  // so nothing else can be read now either: one answer, not one for each check
};

struct Around {
  // An observation that the bench makes; empty function: it makes none.
  std::function<bool(Index observation)> makes = {};
  std::function<Result<Observed>(Index observation)> observe = {};
  // Those that nobody here can make: not listed where the person says what she did instead.
  std::vector<Index> left_out = {};
  // Those that it could make once and cannot now; asked before each step, and not offered.
  std::function<std::vector<Index>()> out_of_reach = {};
  // One of them in which the person takes part: she is asked whether she is ready first.
  std::function<bool(Index observation)> together = {};
  // What it makes of a new case before anything else: readings that take no time and move nothing.
  std::vector<Index> at_start = {};
  // After each repair: what the bench remembers is of the machine of before.
  std::function<void()> repaired = {};
  // Tries the machine so many times, once she has said that it may; nothing: she is to do the rest herself.
  std::function<Result<std::optional<Proof::Result>>(int times)> prove = {};
  std::function<Result<std::string>(const Ask&)> ask;  // the id of one choice
  std::function<Result<void>(const Entry&)> keep;      // before it counts
  enum class Next { bench, person };
  std::function<void(const View&, Next)> show;  // before each step
  std::function<void(const View&)> why;         // the alternatives, where the person asks for them
};

enum class Ended {
  closed,
  quit,  // the case goes on another day
};

// Until the case is closed or the person quits. Errors: those of the functions; the entries so far are kept.
[[nodiscard]] Result<Ended> hold(Interview& interview, const Around& around);

// "Look at the fuse (F3)" -> "look_at_the_fuse_f3": how questions and answers are called in scripts.
[[nodiscard]] std::string id_of(const std::string& name);

// The questions, one function each (interview_asks.cpp).
[[nodiscard]] Ask ask_step(const Model& model, Step step, double cost);
[[nodiscard]] Ask ask_ready(const Model& model, Step step, double cost);
[[nodiscard]] Ask ask_ready_for_proof();
[[nodiscard]] Ask ask_proof();
// "entry_2", as the questions below have it: the second entry, counted from 0.
[[nodiscard]] std::optional<std::size_t> entry_named(const std::string& id);
[[nodiscard]] Ask ask_doubt(const Interview& interview, const View& view);
[[nodiscard]] Ask ask_found(const Model& model, const View& view);
[[nodiscard]] Ask ask_instead(const Model& model, const std::vector<Index>& left_out);
[[nodiscard]] Ask ask_take_back(const Interview& interview);
[[nodiscard]] Ask ask_when_stuck(const View& view);

// Ids of choices that are no outcome.
namespace says {
inline constexpr const char* go = "go";
inline constexpr const char* cannot_tell = "cant_tell";
inline constexpr const char* not_now = "not_now";
inline constexpr const char* instead = "instead";
inline constexpr const char* works = "works_now";
inline constexpr const char* back = "take_back";
inline constexpr const char* why = "why";
inline constexpr const char* quit = "quit";
inline constexpr const char* done = "done";
inline constexpr const char* right = "right";
inline constexpr const char* held = "held";
inline constexpr const char* failed = "failed";
inline constexpr const char* not_known = "not_known";
inline constexpr const char* cancel = "cancel";
}  // namespace says

}  // namespace ringout::find
