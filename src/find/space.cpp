#include "find/space.h"

#include <atomic>
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

bool all_of(const std::vector<std::size_t>& needs, const std::bitset<max_needs>& bits) {
  return std::all_of(needs.begin(), needs.end(), [&](std::size_t bit) { return bits[bit]; });
}

std::uint64_t next_number() {
  static std::atomic<std::uint64_t> last{0};
  return ++last;
}

}  // namespace

Space::Space(const Likelihood& likelihood, const std::vector<State>& start)
    : number_(next_number()), likelihood_(likelihood) {
  add_states(start);
  note_needs();
  tables_.resize(model().observations.size());
  note_cures();
  for (const Symptom& s : model().symptoms) note_seen(start_, s.observation, s.outcome);
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

void Space::note_cures() {
  cures_.resize(states_.size());
  if (model().goal == Goal::identify) return;  // repairs play no part, and what they may leave is not held
  std::vector<std::vector<Index>> repairs_of(model().modes.size());
  for (Index r = 0; r < model().repairs.size(); ++r) {
    for (const Mend& m : model().repairs[r].mends) repairs_of[m.mode].push_back(r);
  }
  for (Index state = 0; state < states_.size(); ++state) {
    std::vector<Index> repairs;
    for (const Index m : states_[state]) repairs.insert(repairs.end(), repairs_of[m].begin(), repairs_of[m].end());
    std::sort(repairs.begin(), repairs.end());
    repairs.erase(std::unique(repairs.begin(), repairs.end()), repairs.end());
    for (const Index r : repairs) {
      double all = 1.0;
      for (const Index m : states_[state]) all *= mend_chance(model().repairs[r], m);
      cures_[state].push_back({r, all, leftovers(state, r)});
    }
  }
}

void Space::note_needs() {
  const auto bits = [&](const std::vector<Need>& needs) {
    std::vector<std::size_t> out;
    for (const Need& n : needs) {
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

const Space::Table& Space::table(Index observation) const {
  Table& out = tables_[observation];
  if (out.chance.empty()) {
    const std::size_t outcomes = model().observations[observation].outcomes.size();
    out.chance.resize(states_.size() * outcomes);
    for (std::size_t i = 0; i < states_.size(); ++i) {
      const std::span<double> chance = std::span(out.chance).subspan(i * outcomes, outcomes);
      likelihood_.of(observation, states_[i], chance);
      double entropy = 0;
      for (const double p : chance) entropy -= p > 0 ? p * std::log(p) : 0;
      out.entropy.push_back(entropy);
    }
  }
  return out;
}

double Space::likelihood(Index observation, Index outcome, Index state) const {
  return table(observation).chance[state * model().observations[observation].outcomes.size() + outcome];
}

double Space::information(const Situation& s, Index observation) const {
  const std::vector<double>& entropy = table(observation).entropy;
  double sum = 0;
  for (const double p : predict(s, observation)) sum -= p > 0 ? p * std::log(p) : 0;
  for (const Weighted& w : s.belief) sum -= w.chance * entropy[w.state];
  return std::max(0.0, sum);
}

// Needs that are met or may still be: their check is to be made, shows what is wanted in some state that is believed
// possible, and has its own needs within reach. A ring of needs never is.
std::bitset<max_needs> Space::within_reach(const Situation& s) const {
  std::bitset<max_needs> out = s.met;
  for (bool more = true; more;) {
    more = false;
    for (std::size_t bit = 0; bit < needs_.size(); ++bit) {
      const auto& [observation, outcome] = needs_[bit];
      if (out[bit] || s.observed[observation] || !all_of(observation_needs_[observation], out)) continue;
      if (outcome && predict(s, observation)[*outcome] <= 0) continue;
      out.set(bit);
      more = true;
    }
  }
  return out;
}

// Marks the observations that these needs wait for; they are within reach.
void Space::ask_for(const Situation& s, const std::vector<std::size_t>& needs, std::vector<bool>& helps) const {
  for (const std::size_t bit : needs) {
    const Index observation = needs_[bit].observation;
    if (s.met[bit] || helps[observation]) continue;
    helps[observation] = true;
    ask_for(s, observation_needs_[observation], helps);
  }
}

bool Space::allowed(const Situation& s, const std::vector<std::size_t>& needs) const {
  return all_of(needs, s.met);
}

bool Space::informative(const Situation& s, Index observation) const {
  const std::vector<double>& chance = table(observation).chance;
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
  std::vector<bool> helps(model().observations.size(), false);
  std::optional<std::bitset<max_needs>> reach;
  const auto wait_for = [&](const std::vector<std::size_t>& needs) {
    if (!reach) reach = within_reach(s);
    if (all_of(needs, *reach)) ask_for(s, needs, helps);
  };
  for (Index r = 0; r < mends.size() && model().goal == Goal::repair; ++r) {
    if (!mends[r] || s.repaired[r]) continue;
    if (allowed(s, repair_needs_[r])) {
      repairs.push_back({Step::Kind::repair, r});
    } else {
      wait_for(repair_needs_[r]);
    }
  }
  for (Index o = 0; o < helps.size(); ++o) {
    if (s.observed[o] || !informative(s, o)) continue;
    helps[o] = true;
    if (!allowed(s, observation_needs_[o])) wait_for(observation_needs_[o]);
  }
  std::vector<Step> out;
  for (Index o = 0; o < helps.size(); ++o) {
    if (helps[o] && allowed(s, observation_needs_[o])) out.push_back({Step::Kind::observe, o});
  }
  if (model().goal == Goal::identify) return out;
  out.insert(out.end(), repairs.begin(), repairs.end());
  if (model().call_cost) out.push_back({Step::Kind::call, 0});
  return out;
}

std::vector<double> Space::predict(const Situation& s, Index observation) const {
  const std::vector<double>& chance = table(observation).chance;
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

double Space::touch_chance(const Situation& s, Index repair) const {
  double sum = 0;
  for (const Weighted& w : s.belief) {
    for (const Cure& c : cures_[w.state]) sum += c.repair == repair ? w.chance : 0.0;
  }
  return sum;
}

bool Space::has_way_to_end(const Situation& s) const {
  if (model().goal == Goal::identify || model().call_cost) return true;
  std::vector<bool> sure(model().modes.size(), false);
  for (Index r = 0; r < model().repairs.size(); ++r) {
    if (s.repaired[r] || !may_repair(s, r)) continue;
    for (const Mend& m : model().repairs[r].mends) sure[m.mode] = sure[m.mode] || m.chance >= 1;
  }
  return std::all_of(s.belief.begin(), s.belief.end(), [&](const Weighted& w) {
    const FaultSet& faults = states_[w.state];
    return std::all_of(faults.begin(), faults.end(), [&](Index mode) { return sure[mode]; });
  });
}

std::vector<double> Space::solve_chances(const Belief& belief) const {
  std::vector<double> out(model().repairs.size(), 0.0);
  for (const Weighted& w : belief) {
    for (const Cure& c : cures_[w.state]) out[c.repair] += w.chance * c.all;
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

}  // namespace ringout::find
