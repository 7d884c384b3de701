// What a fault-finding case is about: parts and how they fail, checks and what they show, repairs and what they mend.
//
// A *mode* is one way in which one part fails; a part is in at most one of its modes. The *state* of the machine is the
// set S of modes present. Prior:
//   exactly_one   P({m}) proportional to prior(m)
//   independent   P(S) = product over parts: prior(m) of its mode in S, or 1 - sum of its priors where it is whole;
//                 sets of more than max_faults modes are left out, and how much that can be is stated (posterior.h)
//   listed        P(S) proportional to the weights given set by set (dependent faults; "no fault" as an empty set)
// An *observation* has outcomes 0 (as it should be), 1, 2, … (worse), and a distribution over them for each mode it can
// see. Modes without an effect are invisible to it. For several visible modes at once:
//   worst      one visible mode: its distribution; several: the worst of independent draws,
//              P(outcome <= j | S) = product of F_m(j)
//   noisy      as worst, and the healthy distribution always draws too (noisy-or for two outcomes, noisy-max for more)
//   first      the effect listed first hides the others (a wire broken upstream)
// `joint` entries override the rule for exactly the visible modes that they list.
// A *repair* mends each of its modes independently with the stated chance; after it the machine is checked, and the
// case is over when nothing that is present is left. A repair is tried once. A check is made once, and again only when
// a repair may have changed what it looks at. Costs are in one unit of the model's choice (minutes).
// Source of the scheme: Heckerman, Breese and Rommelse 1995 (from memory); places: Ottosen and Jensen 2010 (abstract).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/source_text.h"
#include "find/fault_set.h"

namespace ringout::find {

struct Mode {
  std::string name;    // "open"
  Index part = 0;      // of Model::parts
  double prior = 0.0;  // probability, in (0, 1); weight above 0 where exactly one fault is present
  Span at;
};

struct Part {
  std::string name;
  Span at;
};

// Something that must be opened (a cover, a housing) before what lies behind it can be reached.
struct Place {
  std::string name;
  std::optional<Index> inside;  // of a place that must be open first; its index is smaller
  double open_cost = 0.0;       // paid each time it is opened
  double close_cost = 0.0;      // of closing it again; charged with the opening
  enum class AtCheck { may_stay_open, is_closed } at_check = AtCheck::may_stay_open;  // when a repair is checked
  Span at;
};

struct Effect {
  Index mode = 0;
  std::vector<double> chance;  // over the outcomes, sums to 1
  Span at = {};
};

struct JointEffect {
  FaultSet modes;
  std::vector<double> chance;
  Span at = {};
};

// An observation that must have been made (and come out so) before.
struct Need {
  Index observation = 0;
  std::optional<Index> outcome;
};

enum class Combination { worst, noisy, first };

struct Observation {
  std::string name;
  double cost = 0.0;  // >= 0
  std::optional<Index> place;
  std::vector<std::string> outcomes;  // two or more; the first is "as it should be"
  std::vector<double> healthy;        // distribution where no visible mode is present
  std::vector<Effect> effects;        // each mode at most once
  std::vector<JointEffect> joint;
  Combination combination = Combination::worst;
  std::vector<Need> needs;
  int line = 7;              // of docs/fixed_order.md, 1 to 9
  std::string path;          // which path it lies along, for halving (line 7); in the model's order along it
  std::string instructions;  // for the person; may be empty
  std::string caution;
  Span at;
};

struct Mend {
  Index mode = 0;
  double chance = 1.0;  // (0, 1]
};

struct Repair {
  std::string name;
  double cost = 0.0;
  std::optional<Index> place;
  std::vector<Mend> mends;
  std::vector<Need> needs;
  std::string instructions;
  std::string caution;
  Span at;
};

struct ListedState {
  FaultSet faults;
  double weight = 0.0;
  Span at;
};

enum class Faults { exactly_one, independent, listed };
enum class Goal {
  repair,    // until nothing is left; the empty state is excluded, because something is wrong
  identify,  // until one state is certain or nothing more can be learned; repairs play no part
};

// What was complained of; known before the case starts and free.
struct Symptom {
  Index observation = 0;
  Index outcome = 0;
  Span at = {};
};

struct Model {
  std::string name;
  Goal goal = Goal::repair;
  Faults faults = Faults::exactly_one;
  int max_faults = 2;  // 1 to 4; for independent faults
  std::vector<Part> parts;
  std::vector<Mode> modes;
  std::vector<Place> places;
  std::vector<Observation> observations;
  std::vector<Repair> repairs;
  std::vector<ListedState> states;  // where faults are listed
  std::vector<Symptom> symptoms;
  std::optional<double> call_cost;  // calling for help ends the case at this cost, whatever is wrong
  double check_cost = 0.0;          // of checking after each repair
};

// Everything has a limit.
constexpr std::size_t max_parts = 4096;
constexpr std::size_t max_modes = 4096;
constexpr std::size_t max_observations = 1024;
constexpr std::size_t max_repairs = 1024;
constexpr std::size_t max_places = 64;
constexpr std::size_t max_needs = 64;  // different ones, over the whole model
constexpr std::size_t max_outcomes = 16;
constexpr std::size_t max_states = 65536;  // listed, or enumerated one by one (posterior.h)

struct Problem {
  Span at;
  std::string id;  // "model.what-is-wrong"
  std::string message;
  std::string hint;
};

// Everything that is wrong with a model; the rest of the engine takes only models without a problem (a bug otherwise).
[[nodiscard]] std::vector<Problem> problems(const Model& model);

// Whether the fault may be there together with another: only then can anything be wrong after it was mended.
[[nodiscard]] bool beside_others(const Model& model, Index mode);

// "part.mode"
[[nodiscard]] std::string full_name(const Model& model, Index mode);
// "part.mode + part.mode", or "no fault".
[[nodiscard]] std::string full_name(const Model& model, const FaultSet& faults);

}  // namespace ringout::find
