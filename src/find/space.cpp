#include "find/space.h"

#include <cmath>

namespace ringout::find {

namespace {

constexpr double certain = 1 - 1e-12;
constexpr double same = 1e-12;

double mend_chance(const Repair& repair, Index mode) {
  for (const Mend& m : repair.mends) {
    if (m.mode == mode) return m.chance;
  }
  return 0.0;
}

void normalise(Belief& belief) {
  double sum = 0;
  for (const Weighted& w : belief) sum += w.chance;
  for (Weighted& w : belief) w.chance /= sum;
}

}  // namespace

Space::Space(const Likelihood& likelihood, const std::vector<State>& start) : likelihood_(likelihood) {
  add_states(start);
  note_needs();
  tables_.resize(model().observations.size());
  std::vector<std::vector<Mend>> by_mode(model().modes.size());  // Mend::mode here is the repair
  for (Index r = 0; r < model().repairs.size(); ++r) {
    for (const Mend& m : model().repairs[r].mends) by_mode[m.mode].push_back({r, m.chance});
  }
  for (const FaultSet& faults : states_) {
    std::map<Index, double> found;
    for (const Index m : faults) {
      for (const Mend& mend : by_mode[m]) found[mend.mode] = 1.0;
    }
    cures_.emplace_back();
    for (auto& [repair, all] : found) {
      for (const Index m : faults) all *= mend_chance(model().repairs[repair], m);
      cures_.back().push_back({repair, all});
    }
  }
  for (const Symptom& s : model().symptoms) start_.observed.set(s.observation);
}

void Space::add_states(const std::vector<State>& start) {
  const auto number = [&](const FaultSet& faults) {
    const auto [at, fresh] = index_.emplace(faults, static_cast<Index>(states_.size()));
    if (fresh) states_.push_back(faults);
    return at->second;
  };
  for (const State& s : start) {
    if (s.weight > 0) start_.belief.push_back({number(s.faults), s.weight});
  }
  // All that may be left of each after a repair.
  for (std::size_t i = 0; i < states_.size() && model().goal == Goal::repair; ++i) {
    const FaultSet whole = states_[i];
    for (const Index gone : whole) {
      FaultSet rest;
      for (const Index m : whole) {
        if (m != gone) rest.add(m);
      }
      if (!rest.empty()) number(rest);
    }
  }
  normalise(start_.belief);
}

void Space::note_needs() {
  needed_.assign(model().observations.size(), false);
  const auto bits = [&](const std::vector<Need>& needs) {
    std::vector<std::size_t> out;
    for (const Need& n : needs) {
      needed_[n.observation] = true;
      std::size_t bit = 0;
      while (bit < needs_.size() && (needs_[bit].observation != n.observation || needs_[bit].outcome != n.outcome))
        ++bit;
      if (bit == needs_.size()) needs_.push_back(n);
      RINGOUT_CHECK(bit < max_needs);
      out.push_back(bit);
    }
    return out;
  };
  for (const Observation& o : model().observations) observation_needs_.push_back(bits(o.needs));
  for (const Repair& r : model().repairs) repair_needs_.push_back(bits(r.needs));
}

const std::vector<double>& Space::table(Index observation) const {
  std::vector<double>& out = tables_[observation];
  if (out.empty()) {
    const std::size_t outcomes = model().observations[observation].outcomes.size();
    out.resize(states_.size() * outcomes);
    for (std::size_t i = 0; i < states_.size(); ++i)
      likelihood_.of(observation, states_[i], std::span(out).subspan(i * outcomes, outcomes));
  }
  return out;
}

double Space::likelihood(Index observation, Index outcome, Index state) const {
  return table(observation)[state * model().observations[observation].outcomes.size() + outcome];
}

bool Space::allowed(const Situation& s, const std::vector<std::size_t>& needs) const {
  for (const std::size_t bit : needs) {
    if (!s.met[bit]) return false;
  }
  return true;
}

double Space::opening(const Situation& s, std::optional<Index> place) const {
  double sum = 0;
  for (; place && !s.open[*place]; place = model().places[*place].inside)
    sum += model().places[*place].open_cost + model().places[*place].close_cost;
  return sum;
}

void Space::open_up(Situation& s, std::optional<Index> place) const {
  for (; place && !s.open[*place]; place = model().places[*place].inside) s.open.set(*place);
}

bool Space::informative(const Situation& s, Index observation) const {
  const std::vector<double>& chance = table(observation);
  const std::size_t outcomes = model().observations[observation].outcomes.size();
  const double* const first = &chance[s.belief.front().state * outcomes];
  for (const Weighted& w : s.belief) {
    for (std::size_t k = 0; k < outcomes; ++k) {
      if (std::abs(chance[w.state * outcomes + k] - first[k]) > same) return true;
    }
  }
  return false;
}

bool Space::over(const Situation& s) const {
  if (model().goal == Goal::repair) return s.belief.empty();
  for (const Weighted& w : s.belief) {
    if (w.chance >= certain) return true;
  }
  return options(s).empty();
}

std::vector<Step> Space::options(const Situation& s) const {
  std::vector<bool> mends(model().repairs.size(), false);
  for (const Weighted& w : s.belief) {
    for (const Cure& c : cures_[w.state]) mends[c.repair] = true;
  }
  std::vector<Step> repairs;
  bool waiting = false;  // something useful needs an observation first
  for (Index r = 0; r < mends.size() && model().goal == Goal::repair; ++r) {
    if (!mends[r] || s.repaired[r]) continue;
    if (allowed(s, repair_needs_[r])) {
      repairs.push_back({Step::Kind::repair, r});
    } else {
      waiting = true;
    }
  }
  std::vector<Step> out;
  std::vector<bool> tells(model().observations.size(), false);
  for (Index o = 0; o < tells.size(); ++o) {
    tells[o] = !s.observed[o] && informative(s, o);
    waiting = waiting || (tells[o] && !allowed(s, observation_needs_[o]));
  }
  for (Index o = 0; o < tells.size(); ++o) {
    const bool helps = tells[o] || (waiting && needed_[o] && !s.observed[o]);
    if (helps && allowed(s, observation_needs_[o])) out.push_back({Step::Kind::observe, o});
  }
  if (model().goal == Goal::identify) return out;
  out.insert(out.end(), repairs.begin(), repairs.end());
  if (model().call_cost) out.push_back({Step::Kind::call, 0});
  return out;
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

std::vector<double> Space::predict(const Situation& s, Index observation) const {
  const std::vector<double>& chance = table(observation);
  std::vector<double> out(model().observations[observation].outcomes.size(), 0.0);
  for (const Weighted& w : s.belief) {
    for (std::size_t k = 0; k < out.size(); ++k) out[k] += w.chance * chance[w.state * out.size() + k];
  }
  return out;
}

double Space::solve_chance(const Situation& s, Index repair) const {
  double sum = 0;
  for (const Weighted& w : s.belief) {
    for (const Cure& c : cures_[w.state]) sum += c.repair == repair ? w.chance * c.all : 0.0;
  }
  return sum;
}

std::vector<double> Space::solve_chances(const Belief& belief) const {
  std::vector<double> out(model().repairs.size(), 0.0);
  for (const Weighted& w : belief) {
    for (const Cure& c : cures_[w.state]) out[c.repair] += w.chance * c.all;
  }
  return out;
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
  const std::vector<double>& chance = table(observation);
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
    b.next.observed.set(observation);
    open_up(b.next, model().observations[observation].place);
    for (std::size_t bit = 0; bit < needs_.size(); ++bit) {
      if (needs_[bit].observation == observation) b.next.met[bit] = !needs_[bit].outcome || *needs_[bit].outcome == k;
    }
    out.push_back(std::move(b));
  }
  return out;
}

std::vector<Space::Leftover> Space::leftovers(Index state, Index repair) const {
  std::vector<std::pair<FaultSet, double>> left{{FaultSet{}, 1.0}};
  for (const Index mode : states_[state]) {
    const double mend = mend_chance(model().repairs[repair], mode);
    const std::size_t count = left.size();
    for (std::size_t i = 0; i < count; ++i) {
      FaultSet with = left[i].first;
      with.add(mode);
      left.emplace_back(with, left[i].second * (1 - mend));
      left[i].second *= mend;
    }
  }
  std::vector<Leftover> out;
  for (const auto& [rest, chance] : left) {
    if (!rest.empty() && chance > 0) out.push_back({index_.at(rest), chance});
  }
  return out;
}

// Not normalised: sums to the chance that something is still wrong.
Belief Space::still_wrong(const Belief& belief, Index repair) const {
  std::map<Index, double> sum;
  for (const Weighted& w : belief) {
    bool concerned = false;
    for (const Cure& c : cures_[w.state]) concerned = concerned || c.repair == repair;
    if (!concerned) {
      sum[w.state] += w.chance;
      continue;
    }
    for (const Leftover& l : leftovers(w.state, repair)) sum[l.state] += w.chance * l.chance;
  }
  Belief out;
  for (const auto& [state, chance] : sum) out.push_back({state, chance});
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
  b.next.repaired.set(repair);
  open_up(b.next, what.place);
  for (std::size_t p = 0; p < model().places.size(); ++p) {
    const Place& place = model().places[p];
    const bool shut_in = place.inside && !b.next.open[*place.inside];
    if (place.at_check == Place::AtCheck::is_closed || shut_in) b.next.open.reset(p);
  }
  // An observation is worth repeating where something that it sees was mended and something else is still wrong.
  for (const Weighted& w : s.belief) {
    if (states_[w.state].size() < 2) continue;
    for (const Mend& m : what.mends) {
      if (!states_[w.state].contains(m.mode)) continue;
      for (Index o = 0; o < model().observations.size(); ++o) {
        if (b.next.observed[o] && likelihood_.sees(o, m.mode)) b.next.observed.reset(o);
      }
    }
  }
  out.push_back(std::move(b));
  return out;
}

double Space::known_cost(const Situation& s, Index state) const {
  double most = 0;
  for (const Index mode : states_[state]) {
    double least = model().call_cost.value_or(1e300);
    for (const Cure& c : cures_[state]) {
      if (s.repaired[c.repair] || mend_chance(model().repairs[c.repair], mode) <= 0) continue;
      least = std::min(least, cost(s, {Step::Kind::repair, c.repair}));
    }
    most = std::max(most, least);
  }
  return most;
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
