#include "find/conflict.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>

namespace ringout::find {

namespace {

constexpr double like_a_slip = 0.05;        // of the state's likeliest outcome
constexpr double seldom = 0.01;             // all slips of a state together
constexpr double hardly_any = 0.05;         // of the belief: so much may explain all, or take an answer for a slip
constexpr std::size_t states_asked = 2048;  // the likeliest; the rest counts as explaining all

// ln P(all of them), or nothing where they are impossible together.
std::optional<double> evidence(const Posterior& start, const std::vector<Event>& events) {
  Posterior p = start;
  for (const Event& event : events) {
    if (p.take(event) == Taken::impossible) return std::nullopt;
  }
  return p.log_evidence();
}

std::vector<Event> without(std::vector<Event> events, std::size_t one) {
  events.erase(events.begin() + static_cast<std::ptrdiff_t>(one));
  return events;
}

// What is left of `events` (indices into `all`) without those of one kind that the contradiction does not need.
template <class Kind>
std::vector<std::size_t> needed(const Posterior& start, const std::vector<Event>& all,
                                std::vector<std::size_t> events) {
  const std::vector<std::size_t> asked = events;
  for (const std::size_t event : asked) {
    if (!std::holds_alternative<Kind>(all[event])) continue;
    std::vector<std::size_t> fewer = events;
    std::erase(fewer, event);
    std::vector<Event> rest;
    for (const std::size_t i : fewer) rest.push_back(all[i]);
    if (!evidence(start, rest)) events = fewer;
  }
  return events;
}

// Answers that tell of the machine as it is now.
std::vector<std::size_t> standing(const Model& model, const std::vector<Event>& events) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < events.size(); ++i) {
    const auto* answer = std::get_if<Answer>(&events[i]);
    const bool changed =
        answer != nullptr &&
        std::any_of(events.begin() + static_cast<std::ptrdiff_t>(i), events.end(), [&](const Event& later) {
          const auto* r = std::get_if<FailedRepair>(&later);
          return r && may_change(model, r->repair, answer->observation);
        });
    if (answer != nullptr && !changed) out.push_back(i);
  }
  return out;
}

// How much less likely the answer is than what the faults show mostly.
double share_of_likeliest(const Likelihood& likelihood, const FaultSet& faults, const Answer& answer) {
  std::array<double, max_outcomes> chance{};
  const std::size_t outcomes = likelihood.model().observations[answer.observation].outcomes.size();
  likelihood.of(answer.observation, faults, std::span(chance).first(outcomes));
  return chance[answer.outcome] / *std::max_element(chance.begin(), chance.begin() + outcomes);
}

void sort_doubts(Conflict& conflict) {
  std::sort(conflict.doubts.begin(), conflict.doubts.end(),
            [](const Doubt& a, const Doubt& b) { return a.log_evidence > b.log_evidence; });
}

// `left(i)`: the events that are left when the i-th is taken back.
//
// To leave an answer out allows more. To leave a failed repair out does not: the fault that it mended is there again.
// So an answer that is not needed for the contradiction frees nothing, while any repair may.
template <class Left>
Conflict conflict_of(const Posterior& start, const std::vector<Event>& events, const Left& left) {
  Conflict out;
  if (evidence(start, events)) return out;
  std::vector<std::size_t> all(events.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  const std::vector<std::size_t> may_free = needed<Answer>(start, events, all);
  out.events = needed<FailedRepair>(start, events, may_free);
  for (const std::size_t i : may_free) {
    if (const auto rest = evidence(start, left(i))) out.doubts.push_back({i, *rest});
  }
  sort_doubts(out);
  return out;
}

}  // namespace

Conflict find_conflict(const Likelihood& likelihood, const std::vector<Event>& events) {
  return conflict_of(Posterior(likelihood), events, [&](std::size_t i) { return without(events, i); });
}

Conflict find_conflict(const Likelihood& likelihood, const std::vector<Entry>& entries) {
  const Learned learned = events_of(likelihood.model(), entries);
  Conflict out = conflict_of(Posterior(likelihood), learned.events, [&](std::size_t i) {
    std::vector<Entry> taken_back = entries;
    taken_back.emplace_back(TookBack{learned.entry[i]});
    return events_of(likelihood.model(), taken_back).events;
  });
  for (std::size_t& event : out.events) event = learned.entry[event];
  for (Doubt& doubt : out.doubts) doubt.event = learned.entry[doubt.event];
  return out;
}

Conflict find_slips(const Posterior& posterior, const std::vector<Event>& events) {
  const Likelihood& likelihood = posterior.likelihood();
  const std::vector<std::size_t> answers = standing(likelihood.model(), events);
  std::vector<double> doubted(events.size(), 0.0);
  double explained = 1.0;
  for (const State& s : posterior.likeliest(states_asked)) {
    double together = 1.0;
    std::vector<std::size_t> slips;
    for (const std::size_t i : answers) {
      const double share = share_of_likeliest(likelihood, s.faults, std::get<Answer>(events[i]));
      if (share >= like_a_slip) continue;
      together *= share;
      slips.push_back(i);
    }
    if (together >= seldom) continue;
    explained -= s.weight;
    for (const std::size_t i : slips) doubted[i] += s.weight;
  }
  Conflict out;
  if (explained > hardly_any) return out;
  const Posterior start(likelihood);
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (doubted[i] < hardly_any) continue;
    out.events.push_back(i);
    if (const auto rest = evidence(start, without(events, i))) out.doubts.push_back({i, *rest});
  }
  sort_doubts(out);
  return out;
}

std::vector<std::size_t> impossible_symptoms(const Model& model) {
  if (model.symptoms.empty()) return {};
  Model before = model;
  before.symptoms.clear();
  std::vector<Event> seen;
  for (const Symptom& s : model.symptoms) seen.push_back(Answer{s.observation, s.outcome});
  return find_conflict(Likelihood(before), seen).events;
}

}  // namespace ringout::find
