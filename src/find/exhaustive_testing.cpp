#include "find/exhaustive_testing.h"

#include <map>

namespace ringout::find::testing {

namespace {

using Mask = unsigned;
using Masses = std::map<Mask, double>;

struct Bench {
  Mask made = 0;
  Mask tried = 0;
  Mask open = 0;
  std::map<std::size_t, Index> seen;  // last outcome of each observation
};

class Exhaustive {
 public:
  explicit Exhaustive(const Model& model) : m_(model) {}

  double best() {
    Masses states;
    const auto n = m_.modes.size();
    double sum = 0;
    for (Mask set = 1; set < (1U << n); ++set) {
      const int count = __builtin_popcount(set);
      if (count > (m_.faults == Faults::exactly_one ? 1 : 2)) continue;
      double p = 1;
      for (std::size_t i = 0; i < n; ++i) {
        const bool there = (set >> i & 1U) != 0;
        if (m_.faults == Faults::independent) p *= there ? m_.modes[i].prior : 1 - m_.modes[i].prior;
        if (m_.faults == Faults::exactly_one && there) p = m_.modes[i].prior;
      }
      states[set] = p;
      sum += p;
    }
    for (auto& [set, p] : states) p /= sum;
    return value(states, {});
  }

 private:
  // P(bad) for two outcomes: the worst of the draws of all visible faults.
  double bad(const Observation& o, Mask set) const {
    double good = 1;
    bool any = false;
    for (const Effect& e : o.effects) {
      if ((set >> e.mode & 1U) == 0) continue;
      any = true;
      good *= e.chance[0];
    }
    return any ? 1 - good : o.healthy[1];
  }

  double open_up(Bench& bench, std::optional<Index> place) const {
    double cost = 0;
    while (place && (bench.open >> *place & 1U) == 0) {
      cost += m_.places[*place].open_cost + m_.places[*place].close_cost;
      bench.open |= 1U << *place;
      place = m_.places[*place].inside;
    }
    return cost;
  }

  bool allowed(const Bench& bench, const std::vector<Need>& needs) const {
    for (const Need& n : needs) {
      const auto at = bench.seen.find(n.observation);
      if (at == bench.seen.end() || (n.outcome && *n.outcome != at->second)) return false;
    }
    return true;
  }

  // `states` sums to the chance of getting here; the value is weighted with it.
  double value(const Masses& states, const Bench& bench) const {
    double mass = 0;
    for (const auto& [set, p] : states) mass += p;
    if (mass <= 1e-15) return 0;
    double best = mass * *m_.call_cost;
    for (std::size_t o = 0; o < m_.observations.size(); ++o) {
      if ((bench.made >> o & 1U) == 0 && allowed(bench, m_.observations[o].needs))
        best = std::min(best, observe(states, bench, o, mass));
    }
    for (std::size_t r = 0; r < m_.repairs.size(); ++r) {
      if ((bench.tried >> r & 1U) == 0 && allowed(bench, m_.repairs[r].needs))
        best = std::min(best, repair(states, bench, r, mass));
    }
    return best;
  }

  double observe(const Masses& states, Bench bench, std::size_t index, double mass) const {
    const Observation& o = m_.observations[index];
    double cost = mass * (o.cost + open_up(bench, o.place));
    bench.made |= 1U << index;
    for (Index k = 0; k < 2; ++k) {
      Masses next;
      for (const auto& [set, p] : states) {
        const double chance = k == 1 ? bad(o, set) : 1 - bad(o, set);
        if (chance > 1e-14) next[set] = p * chance;
      }
      bench.seen[index] = k;
      cost += value(next, bench);
    }
    return cost;
  }

  double repair(const Masses& states, Bench bench, std::size_t index, double mass) const {
    const Repair& r = m_.repairs[index];
    const double cost = mass * (r.cost + m_.check_cost + open_up(bench, r.place));
    bench.tried |= 1U << index;
    Masses next;
    Mask changed = 0;
    for (const auto& [set, p] : states) {
      Masses left{{set, p}};
      for (const Mend& m : r.mends) {
        Masses split;
        for (const auto& [rest, q] : left) {
          const bool there = (rest >> m.mode & 1U) != 0;
          if (there && __builtin_popcount(set) > 1) changed |= 1U << m.mode;
          if (there) split[rest & ~(1U << m.mode)] += q * m.chance;
          if (!there || m.chance < 1) split[rest] += there ? q * (1 - m.chance) : q;
        }
        left = split;
      }
      for (const auto& [rest, q] : left) {
        if (rest != 0) next[rest] += q;
      }
    }
    for (std::size_t p = 0; p < m_.places.size(); ++p) {
      const auto inside = m_.places[p].inside;
      const bool shut_in = inside && (bench.open >> *inside & 1U) == 0;
      if (m_.places[p].at_check == Place::AtCheck::is_closed || shut_in) bench.open &= ~(1U << p);
    }
    for (std::size_t o = 0; o < m_.observations.size(); ++o) {
      for (const Effect& e : m_.observations[o].effects) {
        if ((changed >> e.mode & 1U) != 0) bench.made &= ~(1U << o);
      }
    }
    return cost + value(next, bench);
  }

  const Model& m_;
};

}  // namespace

double exhaustive_optimum(const Model& model) {
  return Exhaustive(model).best();
}

}  // namespace ringout::find::testing
