#include "find/prior.h"

namespace ringout::find {

namespace {

std::vector<double> fault_chance_of_parts(const Model& model) {
  std::vector<double> q(model.parts.size(), 0.0);
  for (const Mode& m : model.modes) q[m.part] += m.prior;
  return q;
}

// (`state` by value: `out` grows.) Adds every set of up to `left` more modes from `first` on to `faults`; `weight` is
// relative to the state without fault.
void extend(const Model& model, const std::vector<double>& odds, Index first, int left, State state,
            std::vector<State>& out) {
  for (Index m = first; m < model.modes.size() && left > 0; ++m) {
    bool same_part = false;
    for (const Index other : state.faults) same_part = same_part || model.modes[other].part == model.modes[m].part;
    if (same_part) continue;
    State next{state.faults, state.weight * odds[m]};
    next.faults.add(m);
    out.push_back(next);
    extend(model, odds, m + 1, left - 1, next, out);
  }
}

}  // namespace

double count_states(const Model& model) {
  if (model.faults == Faults::listed) return static_cast<double>(model.states.size());
  const auto n = static_cast<double>(model.modes.size());
  if (model.faults == Faults::exactly_one) return n;
  double count = 1;
  double sets = 1;
  for (int k = 1; k <= model.max_faults; ++k) count += sets *= (n - k + 1) / k;
  return count;
}

std::vector<State> enumerate_states(const Model& model) {
  RINGOUT_CHECK(count_states(model) <= static_cast<double>(max_states));
  std::vector<State> out;
  if (model.faults == Faults::listed) {
    for (const ListedState& s : model.states) {
      if (s.weight > 0) out.push_back({s.faults, s.weight});
    }
  } else if (model.faults == Faults::exactly_one) {
    for (Index m = 0; m < model.modes.size(); ++m) out.push_back({FaultSet{m}, model.modes[m].prior});
  } else {
    const std::vector<double> q = fault_chance_of_parts(model);
    double whole = 1;
    for (const double c : q) whole *= 1 - c;
    std::vector<double> odds;
    for (const Mode& m : model.modes) odds.push_back(m.prior / (1 - q[m.part]));
    out.push_back({FaultSet{}, whole});
    extend(model, odds, 0, model.max_faults, out.front(), out);
  }
  if (model.goal == Goal::repair) std::erase_if(out, [](const State& s) { return s.faults.empty(); });
  return out;
}

}  // namespace ringout::find
