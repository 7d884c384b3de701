#include "find/find.h"

namespace ringout::find {

namespace {

// What the bench looks like after the events; the belief has them already.
void walk(Situation& s, const Space& space, const std::vector<Event>& events) {
  for (const Event& event : events) {
    if (const auto* a = std::get_if<Answer>(&event)) {
      space.note_observed(s, a->observation, a->outcome);
    } else {
      space.note_repaired(s, std::get<FailedRepair>(event).repair);
    }
  }
}

}  // namespace

Bench::Bench(const Posterior& posterior, const std::vector<Event>& events, std::size_t states)
    : Bench(posterior, events, posterior.likeliest(states)) {}

Bench::Bench(const Posterior& posterior, const std::vector<Event>& events, const std::vector<State>& states)
    : space(posterior.likelihood(), states), situation(space.start()) {
  walk(situation, space, events);
  double kept = 0;
  for (const State& s : states) kept += s.weight;
  const double left = posterior.left_out();
  set_aside = std::min(1.0, left + (1 - left) * std::max(0.0, 1 - kept));
}

void set_aside(Situation& situation, Index observation) {
  situation.observed.set(observation);
}

void mark_open(Situation& situation, const Model& model, Index place) {
  for (std::optional<Index> p = place; p; p = model.places[*p].inside) situation.open.set(*p);
}

}  // namespace ringout::find
