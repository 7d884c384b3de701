#include "find/model.h"

#include <fmt/format.h>

#include <cmath>
#include <set>

namespace ringout::find {

namespace {

class ModelCheck {
 public:
  explicit ModelCheck(const Model& model) : model_(model) {}

  std::vector<Problem> all() {
    sizes();
    modes();
    places();
    for (const Observation& o : model_.observations) observation(o);
    for (const Repair& r : model_.repairs) repair(r);
    states();
    symptoms();
    ends();
    return std::move(found_);
  }

 private:
  void add(Span at, const char* id, std::string message, std::string hint = {}) {
    found_.push_back({at, id, std::move(message), std::move(hint)});
  }
  void limit(std::size_t count, std::size_t most, const char* what) {
    if (count > most) add({}, "model.too-large", fmt::format("{} {}, at most {} can be handled", count, what, most));
  }
  bool cost(double value, Span at, const std::string& what) {
    if (std::isfinite(value) && value >= 0) return true;
    add(at, "model.cost", fmt::format("{}: a cost must be zero or above", what));
    return false;
  }

  void sizes() {
    limit(model_.parts.size(), max_parts, "parts");
    limit(model_.modes.size(), max_modes, "faults");
    limit(model_.observations.size(), max_observations, "checks");
    limit(model_.repairs.size(), max_repairs, "repairs");
    limit(model_.places.size(), max_places, "places");
    limit(model_.states.size(), max_states, "states");
    limit(different_needs(), max_needs, "different needs");
    if (model_.max_faults < 1 || model_.max_faults > 4)
      add({}, "model.max-faults", "from one to four faults can be considered at once");
    if (model_.modes.empty()) add({}, "model.no-faults", "nothing can be wrong in this model", "give a part a fault");
  }

  [[nodiscard]] std::size_t different_needs() const {
    std::set<std::pair<Index, std::optional<Index>>> out;
    const auto note = [&](const auto& steps) {
      for (const auto& step : steps) {
        for (const Need& n : step.needs) out.emplace(n.observation, n.outcome);
      }
    };
    note(model_.observations);
    note(model_.repairs);
    return out.size();
  }

  void modes() {
    std::vector<double> sum(model_.parts.size(), 0.0);
    for (Index i = 0; i < model_.modes.size(); ++i) {
      const Mode& m = model_.modes[i];
      const bool good = std::isfinite(m.prior) && m.prior > 0 && (model_.faults != Faults::independent || m.prior < 1);
      if (!good && model_.faults != Faults::listed)
        add(m.at, "model.prior",
            fmt::format("{}: its prior must be above 0{}", full_name(model_, i),
                        model_.faults == Faults::independent ? " and below 1" : ""));
      if (m.part < sum.size()) sum[m.part] += m.prior;
    }
    for (std::size_t i = 0; i < sum.size(); ++i) {
      if (model_.faults == Faults::independent && sum[i] >= 1)
        add(model_.parts[i].at, "model.prior",
            fmt::format("part \"{}\": the priors of its faults add up to {:g}", model_.parts[i].name, sum[i]),
            "they must leave a chance that the part is whole");
    }
  }

  void places() {
    for (std::size_t i = 0; i < model_.places.size(); ++i) {
      const Place& p = model_.places[i];
      cost(p.open_cost, p.at, p.name);
      cost(p.close_cost, p.at, p.name);
      if (p.inside && *p.inside >= i)
        add(p.at, "model.place-order", fmt::format("place \"{}\" stands before the one it lies inside", p.name));
    }
  }

  void distribution(const std::vector<double>& chance, std::size_t outcomes, Span at, const std::string& what) {
    double sum = 0;
    bool good = chance.size() == outcomes;
    for (const double c : chance) {
      good = good && std::isfinite(c) && c >= 0 && c <= 1;
      sum += c;
    }
    if (good && std::abs(sum - 1) <= 1e-9) return;
    add(at, "model.chances", fmt::format("{}: {} chances that add up to {:g}", what, chance.size(), sum),
        fmt::format("give one chance for each of the {} outcomes; together they make 1", outcomes));
  }

  void observation(const Observation& o) {
    const std::string what = fmt::format("check \"{}\"", o.name);
    cost(o.cost, o.at, what);
    if (o.outcomes.size() < 2 || o.outcomes.size() > max_outcomes)
      add(o.at, "model.outcomes", fmt::format("{}: {} outcomes", what, o.outcomes.size()), "name from 2 to 16");
    distribution(o.healthy, o.outcomes.size(), o.at, what + ", nothing wrong");
    effects(o, what);
    for (const Need& n : o.needs) {
      if (&model_.observations[n.observation] == &o)
        add(o.at, "model.needs", what + " needs itself", "it could never be made; leave that need out");
    }
    if (o.line < 1 || o.line > 9) add(o.at, "model.line", what + ": lines of the fixed order run from 1 to 9");
  }

  void effects(const Observation& o, const std::string& what) {
    const auto place = [&](Span at) { return at.line > 0 ? at : o.at; };
    std::set<Index> seen;
    for (const Effect& e : o.effects) {
      distribution(e.chance, o.outcomes.size(), place(e.at), what + ", " + full_name(model_, e.mode));
      if (!seen.insert(e.mode).second)
        add(place(e.at), "model.twice", fmt::format("{} lists {} twice", what, full_name(model_, e.mode)));
    }
    std::set<FaultSet> together;
    for (const JointEffect& j : o.joint) {
      distribution(j.chance, o.outcomes.size(), place(j.at), what + ", " + full_name(model_, j.modes));
      if (!together.insert(j.modes).second)
        add(place(j.at), "model.twice", fmt::format("{} lists {} twice", what, full_name(model_, j.modes)));
      for (const Index m : j.modes) {
        if (!seen.contains(m))
          add(place(j.at), "model.joint",
              fmt::format("{} has a joint effect of {}, which it does not see alone", what, full_name(model_, m)));
      }
    }
  }

  void repair(const Repair& r) {
    const std::string what = fmt::format("repair \"{}\"", r.name);
    cost(r.cost, r.at, what);
    std::set<Index> seen;
    for (const Mend& m : r.mends) {
      if (!(m.chance > 0 && m.chance <= 1))
        add(r.at, "model.chances", what + ": a chance of mending is above 0 and at most 1");
      if (!seen.insert(m.mode).second)
        add(r.at, "model.twice", fmt::format("{} lists {} twice", what, full_name(model_, m.mode)));
    }
  }

  void states() {
    if (model_.faults != Faults::listed) return;
    double sum = 0;
    std::set<FaultSet> seen;
    for (const ListedState& s : model_.states) {
      if (!(std::isfinite(s.weight) && s.weight >= 0)) add(s.at, "model.prior", "a state's weight is zero or above");
      if (!seen.insert(s.faults).second)
        add(s.at, "model.twice", fmt::format("the state \"{}\" is listed twice", full_name(model_, s.faults)));
      if (model_.goal != Goal::repair || !s.faults.empty()) sum += s.weight;
    }
    if (!(sum > 0)) add({}, "model.no-faults", "no listed state has a weight above zero");
  }

  void symptoms() {
    std::set<Index> seen;
    for (const Symptom& s : model_.symptoms) {
      if (s.observation >= model_.observations.size() ||
          s.outcome >= model_.observations[s.observation].outcomes.size()) {
        add({}, "model.symptom", "a symptom names a check or an outcome that does not exist");
      } else if (!seen.insert(s.observation).second) {
        add(s.at, "model.twice",
            fmt::format("check \"{}\" is a symptom twice", model_.observations[s.observation].name),
            "a check shows one thing at a time, and shown again it is no second witness");
      }
    }
  }

  // Without a call for help every fault needs a repair that is sure to mend it, or a case might never end.
  void ends() {
    if (model_.goal != Goal::repair) return;
    if (model_.call_cost) {
      cost(*model_.call_cost, {}, "the call for help");
    } else {
      std::vector<bool> mended(model_.modes.size(), false);
      for (const Repair& r : model_.repairs) {
        for (const Mend& m : r.mends) {
          if (m.chance >= 1 && m.mode < mended.size() && r.needs.empty()) mended[m.mode] = true;
        }
      }
      for (std::size_t i = 0; i < mended.size(); ++i) {
        if (!mended[i])
          add(model_.modes[i].at, "model.no-end",
              fmt::format("no repair is sure to mend {}, and there is no call for help",
                          full_name(model_, static_cast<Index>(i))),
              "give the model a call for help");
      }
    }
    cost(model_.check_cost, {}, "the check after a repair");
  }

  const Model& model_;
  std::vector<Problem> found_;
};

}  // namespace

std::vector<Problem> problems(const Model& model) {
  return ModelCheck(model).all();
}

bool beside_others(const Model& model, Index mode) {
  if (model.faults == Faults::exactly_one) return false;
  if (model.faults == Faults::independent) return model.max_faults > 1;
  return std::any_of(model.states.begin(), model.states.end(), [&](const ListedState& s) {
    return s.weight > 0 && s.faults.size() > 1 && s.faults.contains(mode);
  });
}

std::string full_name(const Model& model, Index mode) {
  const Mode& m = model.modes[mode];
  return m.name.empty() ? model.parts[m.part].name : model.parts[m.part].name + "." + m.name;
}

std::string full_name(const Model& model, const FaultSet& faults) {
  std::string out;
  for (const Index m : faults) out += (out.empty() ? "" : " + ") + full_name(model, m);
  return out.empty() ? "no fault" : out;
}

}  // namespace ringout::find
