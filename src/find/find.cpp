#include "find/find.h"

namespace ringout::find {

namespace {

// So many times likelier with the fault than without it: new evidence for what a repair should have mended.
constexpr double speaks_for = 5.0;

class Walk {
 public:
  Walk(Situation& s, const Likelihood& likelihood, const Space& space)
      : s_(s), likelihood_(likelihood), space_(space), tries_(likelihood.model().repairs.size(), 0) {}

  void take(const Answer& answer) {
    space_.note_observed(s_, answer.observation, answer.outcome);
    const double whole = likelihood_.of(answer.observation, answer.outcome, {});
    for (Index r = 0; r < tries_.size(); ++r) {
      if (!s_.repaired[r] || tries_[r] >= most_tries) continue;
      for (const Mend& m : likelihood_.model().repairs[r].mends) {
        if (likelihood_.of(answer.observation, answer.outcome, {m.mode}) > speaks_for * whole) s_.repaired.reset(r);
      }
    }
  }
  void take(const FailedRepair& failed) {
    space_.note_repaired(s_, failed.repair);
    ++tries_[failed.repair];
  }

 private:
  Situation& s_;
  const Likelihood& likelihood_;
  const Space& space_;
  std::vector<int> tries_;
};

// What the bench looks like after the events; the belief has them already.
void walk(Situation& s, const Likelihood& likelihood, const Space& space, const std::vector<Event>& events) {
  Walk walk(s, likelihood, space);
  for (const Event& event : events) std::visit([&](const auto& e) { walk.take(e); }, event);
}

}  // namespace

Bench::Bench(const Posterior& posterior, const std::vector<Event>& events, std::size_t states)
    : Bench(posterior, events, posterior.likeliest(states)) {}

Bench::Bench(const Posterior& posterior, const std::vector<Event>& events, const std::vector<State>& states)
    : space(posterior.likelihood(), states), situation(space.start()) {
  walk(situation, posterior.likelihood(), space, events);
  double kept = 0;
  for (const State& s : states) kept += s.weight;
  const double left = posterior.left_out();
  set_aside = std::min(1.0, left + (1 - left) * std::max(0.0, 1 - kept));
}

void set_aside(Situation& situation, Index observation) {
  situation.observed.set(observation);
}

}  // namespace ringout::find
