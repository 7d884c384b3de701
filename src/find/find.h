// Fault finding: everything a caller needs, in the order of use.
//
// clang-format off
//   std::optional<Model> read_model(text, diagnostics)   a model from a file (docs/find_model.md); or build a Model
//   std::vector<Problem> problems(model)                 and see that it has none
//   Model learned(model, history, strength)              what closed cases have taught
//   Likelihood likelihood(model)                         keep it and the model alive
//   Posterior posterior(likelihood)                      what is believed; the model's symptoms are taken
//     .take(Answer{observation, outcome})  .take(FailedRepair{repair})
//       Taken::impossible -> find_conflict(likelihood, events): which answers cannot all be true, which to doubt
//     .marginals()  .likeliest(n)  .left_out()
//   An answer taken back: leave it out of the events and make the posterior anew. "Can't tell" and "skip": no event,
//   but set_aside(situation, observation).
//   Bench bench(posterior, events)                       the next step's view: Space + Situation, states() bounded
//   strategy = make_strategy(StrategyKind::best, effort)
//   recommend(bench.space, bench.situation, *strategy)   the step, alternatives, prospects
//   weigh(likelihood, events, mode)                      evidence for and against
//   expected_cost(space, strategy), print_tree(space, strategy)   a strategy on a model; OptimumSearch for bounds
//   record(history, model, closed_case), merge, write_history, read_history
// clang-format on
//
// No clock, file or chance in here: the same input gives the same answer. Costs are in the model's unit.
#pragma once

#include "find/conflict.h"
#include "find/explain.h"
#include "find/learning.h"
#include "find/model_file.h"
#include "find/optimum.h"
#include "find/policy.h"
#include "find/strategy.h"

namespace ringout::find {

// How many states a step is chosen over; the rest of the posterior is stated.
constexpr std::size_t states_considered = 384;

// A repair that failed is offered again, up to `most_tries` times in all, once an answer given after it speaks for what
// it mends: it may not have been well done.
constexpr int most_tries = 2;
struct Bench {
  Bench(const Posterior& posterior, const std::vector<Event>& events, std::size_t states = states_considered);

  Space space;
  Situation situation;
  double set_aside = 0.0;  // share of the posterior that neither `space` holds nor is ruled out; an upper bound

 private:
  Bench(const Posterior& posterior, const std::vector<Event>& events, const std::vector<State>& states);
};

// The observation is not offered again in this situation ("can't tell", "skip").
void set_aside(Situation& situation, Index observation);

}  // namespace ringout::find
