// A fault-finding case as it was: everything that was seen, done and said, in order. Nothing is ever removed: what was
// wrong is taken back by a later entry. Belief and bench are computed from it (interview.h); case_file.h keeps it.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "find/posterior.h"
#include "find/space.h"

namespace ringout::find {

enum class By { person, bench };

struct Saw {
  Index observation = 0;
  Index outcome = 0;
  By by = By::person;
};
// The check was tried and nobody could tell; it is not offered again.
struct CouldNotTell {
  Index observation = 0;
};
// "Not now": the step is not offered again, unless this is taken back.
struct PutAside {
  Step step;
};
// A repair was carried out; empty: something that the model does not list, or lists no more (`other`). A Proof follows.
struct Done {
  std::optional<Index> repair;
  std::string other = {};
};
// A repair begins with a look, and what it would have mended was right already: nothing was mended. It speaks against
// the faults that the repair mends as one that did not help; but no Proof follows, it changes nothing that was seen
// before, and it is no repair of the case.
struct WasRight {
  Index repair = 0;
};
// The machine was tried `times` times in a row after a repair.
struct Proof {
  int times = 0;
  enum class Result { held, failed } result = Result::held;
};
struct Called {};  // for help
// Entry `entry` (counted from 0) counts no more.
struct TookBack {
  std::size_t entry = 0;
};
// The case is over; empty: nobody knows what it was, or the model lists it no more (`others`).
struct Closed {
  FaultSet found;
  std::vector<std::string> others = {};
};
// An entry about a check or a step that the model lacks (the robot file was changed since).
struct Foreign {
  std::string text;
};

using Entry = std::variant<Saw, CouldNotTell, PutAside, Done, WasRight, Proof, Called, TookBack, Closed, Foreign>;

// Which entries count: not those taken back, and not those that only take back.
[[nodiscard]] std::vector<bool> counting(const std::vector<Entry>& entries);

// Of a case that works now: the last repair, where no help was called after it; nothing where it was something else.
[[nodiscard]] std::optional<Index> helping_repair(const std::vector<Entry>& entries);

// Whether the repair mends something that the check sees, and something else may be wrong still: what it showed before
// may be otherwise afterwards.
[[nodiscard]] bool may_change(const Model& model, Index repair, Index observation);

// What was learned about the state of the machine, and which entry each event came from. A check counts once between
// repairs that may change it, with its last answer; what repeats the complaint counts for nothing.
struct Learned {
  std::vector<Event> events;
  std::vector<std::size_t> entry;
};
[[nodiscard]] Learned events_of(const Model& model, const std::vector<Entry>& entries);
// Each event of these in words.
[[nodiscard]] std::vector<std::string> texts_of(const Model& model, const std::vector<Entry>& entries);

// "command the lift: nothing", "replaced the fuse: still wrong"; for a person.
[[nodiscard]] std::string text_of(const Model& model, const Entry& entry);
// The same with the entry's own name for what it takes back; `before`: the entries that stand before it.
[[nodiscard]] std::string text_of(const Model& model, const Entry& entry, const std::vector<Entry>& before);

}  // namespace ringout::find
