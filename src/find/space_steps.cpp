// What a step costs and what may come of it: the moving part of space.h.
#include "find/space.h"

namespace ringout::find {

namespace {

void normalise(Belief& belief) {
  double sum = 0;
  for (const Weighted& w : belief) sum += w.chance;
  for (Weighted& w : belief) w.chance /= sum;
}

}  // namespace

double Space::opening(const Situation& s, std::optional<Index> place) const {
  double sum = 0;
  for (; place && !s.open[*place]; place = model().places[*place].inside)
    sum += model().places[*place].open_cost + model().places[*place].close_cost;
  return sum;
}

void Space::open_up(Situation& s, std::optional<Index> place) const {
  for (; place && !s.open[*place]; place = model().places[*place].inside) s.open.set(*place);
}

double Space::cost(const Situation& s, Step step) const {
  switch (step.kind) {
    case Step::Kind::observe:
      return model().observations[step.index].cost + opening(s, model().observations[step.index].place);
    case Step::Kind::repair:
      return model().repairs[step.index].cost + model().check_cost + opening(s, model().repairs[step.index].place);
    case Step::Kind::call:
      return model().call_cost.value_or(0.0);
    case Step::Kind::stop:
      break;
  }
  return 0.0;
}

void Space::note_observed(Situation& s, Index observation, Index outcome) const {
  open_up(s, model().observations[observation].place);
  note_seen(s, observation, outcome);
}

// What was complained of was seen, too, but nothing was opened for it.
void Space::note_seen(Situation& s, Index observation, Index outcome) const {
  s.observed.set(observation);
  for (std::size_t bit = 0; bit < needs_.size(); ++bit) {
    if (needs_[bit].observation == observation) s.met[bit] = !needs_[bit].outcome || *needs_[bit].outcome == outcome;
  }
}

void Space::note_done(Situation& s, Index repair) const {
  s.repaired.set(repair);
  open_up(s, model().repairs[repair].place);
  for (std::size_t p = 0; p < model().places.size(); ++p) {
    const Place& place = model().places[p];
    const bool shut_in = place.inside && !s.open[*place.inside];
    if (place.at_check == Place::AtCheck::is_closed || shut_in) s.open.reset(p);
  }
}

// An observation is worth repeating where something that it sees was mended and something else is still wrong.
void Space::repeat_what_sees(Situation& s, Index mode) const {
  for (Index o = 0; o < model().observations.size(); ++o) {
    if (s.observed[o] && likelihood_.sees(o, mode)) s.observed.reset(o);
  }
}

void Space::note_repaired(Situation& s, Index repair) const {
  note_done(s, repair);
  for (const Mend& m : model().repairs[repair].mends) {
    if (beside_others(model(), m.mode)) repeat_what_sees(s, m.mode);
  }
}

std::vector<Branch> Space::branches(const Situation& s, Step step) const {
  switch (step.kind) {
    case Step::Kind::observe:
      return observe(s, step.index);
    case Step::Kind::repair:
      return repair(s, step.index);
    case Step::Kind::call:
      return {{1.0, 0, Ending::called, {}}};
    case Step::Kind::stop:
      break;
  }
  return {{1.0, 0, Ending::identified, {}}};
}

std::vector<Branch> Space::observe(const Situation& s, Index observation) const {
  const std::vector<double>& chance = table(observation).chance;
  const std::size_t outcomes = model().observations[observation].outcomes.size();
  std::vector<Branch> out;
  for (Index k = 0; k < outcomes; ++k) {
    Belief belief;
    double sum = 0;
    for (const Weighted& w : s.belief) {
      const double p = w.chance * chance[w.state * outcomes + k];
      if (p > 0) belief.push_back({w.state, p});
      sum += p;
    }
    if (belief.empty()) continue;
    for (Weighted& w : belief) w.chance /= sum;
    Branch b{sum, k, Ending::none, {std::move(belief), s.observed, s.repaired, s.open, s.met}};
    note_observed(b.next, observation, k);
    out.push_back(std::move(b));
  }
  return out;
}

// Not normalised: sums to the chance that something is still wrong.
Belief Space::still_wrong(const Belief& belief, Index repair) const {
  Belief out;
  bool moved = false;
  for (const Weighted& w : belief) {
    const std::vector<Cure>& cures = cures_[w.state];
    const auto cure = std::find_if(cures.begin(), cures.end(), [&](const Cure& c) { return c.repair == repair; });
    if (cure == cures.end()) {
      out.push_back(w);
      continue;
    }
    for (const Leftover& l : cure->left) out.push_back({l.state, w.chance * l.chance});
    moved = moved || !cure->left.empty();
  }
  if (!moved) return out;
  std::sort(out.begin(), out.end(), [](const Weighted& a, const Weighted& b) { return a.state < b.state; });
  std::size_t kept = 0;
  for (std::size_t i = 1; i < out.size(); ++i) {
    if (out[i].state == out[kept].state) {
      out[kept].chance += out[i].chance;
    } else {
      out[++kept] = out[i];
    }
  }
  out.resize(kept + 1);
  return out;
}

std::vector<Branch> Space::repair(const Situation& s, Index repair) const {
  const Repair& what = model().repairs[repair];
  std::vector<Branch> out;
  const double solved = solve_chance(s, repair);
  if (solved > 0) out.push_back({solved, 0, Ending::solved, {}});
  Belief left = still_wrong(s.belief, repair);
  double sum = 0;
  for (const Weighted& w : left) sum += w.chance;
  if (left.empty() || sum <= 1e-15) return out;
  Branch b{sum, 1, Ending::none, {std::move(left), s.observed, s.repaired, s.open, s.met}};
  normalise(b.next.belief);
  note_done(b.next, repair);
  for (const Weighted& w : s.belief) {
    if (states_[w.state].size() < 2) continue;
    for (const Mend& m : what.mends) {
      if (states_[w.state].contains(m.mode)) repeat_what_sees(b.next, m.mode);
    }
  }
  out.push_back(std::move(b));
  return out;
}

std::string Space::text(Step step) const {
  switch (step.kind) {
    case Step::Kind::observe:
      return model().observations[step.index].name;
    case Step::Kind::repair:
      return model().repairs[step.index].name;
    case Step::Kind::call:
      return "call for help";
    case Step::Kind::stop:
      break;
  }
  return "stop";
}

}  // namespace ringout::find
