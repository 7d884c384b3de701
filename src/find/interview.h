// Where a case stands: from what was seen and done so far (case_log.h) to what is likely, what to do next and why, and
// whether it is over. Knows no terminal, link, clock or file.
//
//   Interview interview(model);
//   interview.add(Saw{check, outcome});     entries of a kept case are added the same way
//   const View view = interview.view();
// interview_run.h holds the whole conversation.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "find/case_log.h"
#include "find/conflict.h"
#include "find/explain.h"
#include "find/find.h"

namespace ringout::find {

// Service literature has equipment operated five times after a repair before it counts as mended (NAVEDTRA 14018, one
// page read).
constexpr int proof_times = 5;

// What it was is asked, unless the answers and the repair that helped make one fault so likely.
constexpr double sure_enough = 0.95;

enum class Status {
  open,           // something is to be checked or mended
  contradiction,  // no state of the machine allows all the answers
  to_prove,       // a repair was made, and the machine is to be tried again
  to_close,       // it works, help was called, or the fault is known: what was it?
  closed,
};

struct Suspect {
  Index mode = 0;
  double chance = 0.0;  // that it is present; several may be at once
};

// One thing that may come of the next step.
struct Reading {
  Index outcome = 0;  // of a check; of a repair 0: it works, 1: still wrong
  double chance = 0.0;
  std::vector<Suspect> then;     // likeliest afterwards, at most three
  std::vector<Index> rules_out;  // suspects of now that would be all but excluded, likeliest first
};

// What is wrong, as good as known.
struct Diagnosis {
  FaultSet faults;
  double chance = 0.0;               // of the least sure of them
  std::vector<Conclusion> evidence;  // per fault, in the order of `faults`
  std::vector<Index> repairs;        // that mend one of them, the surest and cheapest first
  bool mended = false;               // its repair helped: `chance` is after that, the evidence tells of before
  bool closed = false;               // the case was closed with it: `chance` is 1 where a person said so

  [[nodiscard]] double chance_of(const Conclusion& one) const { return mended || closed ? chance : one.now; }
};

struct View {
  Status status = Status::open;
  std::vector<Suspect> suspects;       // likeliest first, of at least one in a thousand; at the end: of what was found
  double left_out = 0.0;               // upper bound: more faults at once than are weighed
  double more_guess = 0.0;             // the same, guessed: as if faults were rare and came alone (Poisson)
  int faults_weighed = 1;              // so many at once
  double spent = 0.0;                  // by the model's costs
  std::size_t made = 0;                // checks and repairs
  std::optional<Recommendation> next;  // where open and something can be done; its choice comes first
  std::vector<Reading> readings;       // of next
  std::optional<double> call_cost;
  std::size_t put_aside = 0;  // steps that were skipped or could not be told
  Conflict conflict;          // answers that cannot all be true, or where open hardly can; indices into entries()
  std::optional<Diagnosis> diagnosis;
  std::vector<State> found;    // to_close: what it may have been, likeliest first; closed: what it was, if known
  bool found_follows = false;  // from the last repair, or from the answers of a case to identify; else it is a guess
};

class Interview {
 public:
  // Keeps the reference. The model has no problems (model.h).
  explicit Interview(const Model& model, StrategyKind kind = StrategyKind::best, const Effort& effort = {});

  void add(Entry entry);
  // Checks that nobody here can make: they are not offered.
  void leave_out(std::vector<Index> observations) { left_out_ = std::move(observations); }
  [[nodiscard]] const std::vector<Entry>& entries() const { return entries_; }
  [[nodiscard]] const Model& model() const { return model_; }
  // The model's own symptoms cannot be together: no case can be held with it.
  [[nodiscard]] bool starts_impossible() const { return prior_.starts_impossible(); }

  [[nodiscard]] View view() const;
  [[nodiscard]] Status status() const;
  // A closed case for the team's history; empty until closed, and where nobody knows what it was.
  [[nodiscard]] std::optional<Closed> closed() const;
  // For the history: without those given while something was wrong that a repair of the case then mended.
  [[nodiscard]] std::vector<Answer> answers() const;

 private:
  struct Bearings;  // posterior and bench after all entries
  [[nodiscard]] Bearings bearings() const;
  [[nodiscard]] std::optional<Status> settled() const;
  [[nodiscard]] Status status(const Bearings& at) const;
  void put_aside(Bearings& at) const;
  [[nodiscard]] double spent(const Bearings& at) const;
  void recommend_next(View& view, Bearings& at) const;
  void note_diagnosis(View& view, const Bearings& at) const;
  void note_found(View& view, const Bearings& at) const;
  void note_closed(View& view) const;

  const Model& model_;
  Likelihood likelihood_;
  Posterior prior_;
  Effort effort_;
  std::unique_ptr<Strategy> strategy_;
  std::vector<Entry> entries_;
  std::vector<Index> left_out_;
};

}  // namespace ringout::find
