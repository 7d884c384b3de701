// Which answers cannot all be true, where together they have probability zero, or hardly all, where only slips explain
// them; and which of them to doubt first.
#pragma once

#include <vector>

#include "find/case_log.h"

namespace ringout::find {

struct Doubt {
  std::size_t event = 0;      // index into the events handed in
  double log_evidence = 0.0;  // of all other events: the larger, the better the rest agrees once this one is taken back
};

struct Conflict {
  // Cannot all be true. What the contradiction does not need was left out, one at a time: answers first, then repairs.
  std::vector<std::size_t> events;
  std::vector<Doubt> doubts;  // each answer or repair that, taken back alone, makes the rest possible, best first
};

// The model's symptoms are taken as given. Empty where the events do not contradict each other. "Cannot" means: not
// with at most max_faults faults. Where several disjoint sets conflict, doubts may be empty: take one of `events` back
// and ask again. Costs one posterior for each event and pass.
[[nodiscard]] Conflict find_conflict(const Likelihood& likelihood, const std::vector<Event>& events);
// The same of the entries of a case, by their indices: one taken back may bring back what it replaced.
[[nodiscard]] Conflict find_conflict(const Likelihood& likelihood, const std::vector<Entry>& entries);

// Of events that are possible together, taken by `posterior` in that order: where nearly all that is believed needs
// slips (an answer less than a twentieth as likely as what that state shows mostly) that together happen less than once
// in a hundred. One slip of the usual size, two or three in a hundred, is passed over; two of them, or "no voltage" at
// a battery behind which all works, are not. Answers from before a repair that may have changed them are left alone.
// `events` are those slips, `doubts` the same ranked. Empty where the answers agree well enough.
[[nodiscard]] Conflict find_slips(const Posterior& posterior, const std::vector<Event>& events);
// The model's own symptoms that cannot be together, by their indices: such a minimal set; empty where all can.
[[nodiscard]] std::vector<std::size_t> impossible_symptoms(const Model& model);

}  // namespace ringout::find
