#include "find/conflict.h"

#include <optional>

namespace ringout::find {

namespace {

// ln P(the chosen events), or nothing where they are impossible together.
std::optional<double> evidence(const Posterior& start, const std::vector<Event>& events,
                               const std::vector<bool>& chosen) {
  Posterior p = start;
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (chosen[i] && p.take(events[i]) == Taken::impossible) return std::nullopt;
  }
  return p.log_evidence();
}

}  // namespace

Conflict find_conflict(const Likelihood& likelihood, const std::vector<Event>& events) {
  const Posterior start(likelihood);
  std::vector<bool> chosen(events.size(), true);
  Conflict out;
  if (evidence(start, events, chosen)) return out;
  for (std::size_t i = 0; i < events.size(); ++i) {
    chosen[i] = false;
    if (evidence(start, events, chosen)) chosen[i] = true;  // needed for the contradiction
  }
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (!chosen[i]) continue;
    out.events.push_back(i);
    std::vector<bool> others(events.size(), true);
    others[i] = false;
    const std::optional<double> rest = evidence(start, events, others);
    if (rest && std::holds_alternative<Answer>(events[i])) out.doubts.push_back({i, *rest});
  }
  std::sort(out.doubts.begin(), out.doubts.end(),
            [](const Doubt& a, const Doubt& b) { return a.log_evidence > b.log_evidence; });
  return out;
}

}  // namespace ringout::find
