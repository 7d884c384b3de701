#include "find/testing.h"

#include <fmt/format.h>

#include <cmath>

namespace ringout::find::testing {

Index add_fault(Model& model, const std::string& name, double prior) {
  model.parts.push_back({name, {}});
  model.modes.push_back({"", static_cast<Index>(model.parts.size() - 1), prior, {}});
  return static_cast<Index>(model.modes.size() - 1);
}

Index add_check(Model& model, const std::string& name, double cost, const std::vector<ShownBy>& effects,
                double healthy) {
  Observation o;
  o.name = name;
  o.cost = cost;
  o.outcomes = {"good", "bad"};
  o.healthy = {1 - healthy, healthy};
  for (const ShownBy& e : effects) o.effects.push_back({e.mode, {1 - e.bad, e.bad}});
  model.observations.push_back(std::move(o));
  return static_cast<Index>(model.observations.size() - 1);
}

Index add_repair(Model& model, const std::string& name, double cost, std::vector<Mend> mends) {
  Repair r;
  r.name = name;
  r.cost = cost;
  r.mends = std::move(mends);
  model.repairs.push_back(std::move(r));
  return static_cast<Index>(model.repairs.size() - 1);
}

Model test_matrix(const std::vector<std::string>& rows, const std::vector<double>& priors) {
  Model model;
  model.goal = Goal::identify;
  for (std::size_t i = 0; i < rows.size(); ++i) add_fault(model, fmt::format("s{}", i), priors[i]);
  for (std::size_t t = 0; t < rows.front().size(); ++t) {
    std::vector<ShownBy> shown;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i][t] == '1') shown.push_back({static_cast<Index>(i), 1.0});
    }
    add_check(model, fmt::format("t{}", t + 1), 1.0, shown);
  }
  return model;
}

Model dark_lamp() {
  Model m;
  m.name = "lamp";
  m.faults = Faults::independent;
  const Index bulb = add_fault(m, "bulb", 0.1), fuse = add_fault(m, "fuse", 0.05),
              supply = add_fault(m, "supply", 0.01);
  const Index dark = add_check(m, "lamp", 0, {{bulb, 1.0}, {fuse, 1.0}, {supply, 1.0}});
  add_check(m, "look at the fuse", 1, {{fuse, 1.0}});
  add_check(m, "other lamp", 0.5, {{supply, 1.0}});
  add_check(m, "meter at the socket", 2, {{fuse, 1.0}, {supply, 1.0}});
  add_repair(m, "replace the bulb", 8, {{bulb, 1.0}});
  add_repair(m, "replace the fuse", 6, {{fuse, 1.0}});
  add_repair(m, "charge the battery", 30, {{supply, 0.9}});
  m.call_cost = 100;
  m.symptoms.push_back({dark, 1});
  return m;
}

namespace {

// Uniform numbers by our own rule, so that every library draws the same model.
class Chance {
 public:
  explicit Chance(std::uint32_t seed) : engine_(seed * 2654435761U + 1) {}
  double in(double low, double high) { return low + (high - low) * (static_cast<double>(engine_()) / 4294967296.0); }
  std::size_t below(std::size_t n) { return std::min(n - 1, static_cast<std::size_t>(in(0, static_cast<double>(n)))); }
  bool happens(double p) { return in(0, 1) < p; }

 private:
  std::mt19937 engine_;
};

}  // namespace

Model random_case(std::uint32_t seed, RandomSize size) {
  Chance draw(seed);
  Model model;
  model.name = fmt::format("random {}", seed);
  model.faults = draw.happens(0.5) ? Faults::independent : Faults::exactly_one;
  for (std::size_t i = 0; i < size.faults; ++i) add_fault(model, fmt::format("part {}", i), draw.in(0.02, 0.3));
  if (draw.happens(0.4)) {
    model.places.push_back({"cover", {}, draw.in(1, 5), 0, Place::AtCheck::may_stay_open, {}});
    model.places.push_back({"housing",
                            0,
                            draw.in(1, 5),
                            0,
                            draw.happens(0.3) ? Place::AtCheck::is_closed : Place::AtCheck::may_stay_open,
                            {}});
  }
  const auto place = [&]() -> std::optional<Index> {
    if (model.places.empty() || draw.happens(0.5)) return std::nullopt;
    return static_cast<Index>(draw.below(2));
  };
  const bool noisy = draw.happens(0.5);
  for (std::size_t i = 0; i < size.checks; ++i) {
    std::vector<ShownBy> shown;
    for (Index m = 0; m < size.faults; ++m) {
      if (draw.happens(0.45)) shown.push_back({m, noisy ? draw.in(0.75, 1.0) : 1.0});
    }
    const Index o = add_check(model, fmt::format("check {}", i), draw.in(0.5, 4), shown, noisy ? draw.in(0, 0.1) : 0.0);
    model.observations[o].place = place();
    if (i > 0 && draw.happens(0.15)) {
      model.observations[o].needs.push_back({static_cast<Index>(draw.below(i)), std::nullopt});
      if (draw.happens(0.5)) model.observations[o].needs.back().outcome = 1;
    }
  }
  for (std::size_t i = 0; i < size.repairs; ++i) {
    std::vector<Mend> mends{{static_cast<Index>(i % size.faults), draw.happens(0.3) ? draw.in(0.6, 1.0) : 1.0}};
    for (Index m = 0; m < size.faults; ++m) {
      if (m != mends.front().mode && draw.happens(0.15))
        mends.push_back({m, draw.happens(0.5) ? 1.0 : draw.in(0.5, 1.0)});
    }
    const Index r = add_repair(model, fmt::format("repair {}", i), draw.in(1, 20), mends);
    model.repairs[r].place = place();
  }
  model.call_cost = draw.in(20, 60);
  model.check_cost = draw.happens(0.5) ? draw.in(0, 1) : 0.0;
  return model;
}

Model large_machine(std::size_t parts, std::size_t observations, std::uint32_t seed) {
  Chance draw(seed);
  Model model;
  model.name = fmt::format("machine of {} parts", parts);
  model.faults = Faults::independent;
  // Part i hangs on part (i - 1) / 6 - the supply at the root feeds all; a reading at a part sees it and all above it.
  for (std::size_t i = 0; i < parts; ++i) {
    model.parts.push_back({fmt::format("part {}", i), {}});
    for (int k = 0; k < 3; ++k)
      model.modes.push_back({fmt::format("fault {}", k), static_cast<Index>(i), draw.in(1e-5, 4e-4), {}});
    std::vector<Mend> mends;
    for (Index k = 0; k < 3; ++k) mends.push_back({static_cast<Index>(3 * i) + k, 1.0});
    add_repair(model, fmt::format("replace part {}", i), draw.in(5, 60), mends);
  }
  const auto chain = [&](std::size_t part) {
    std::vector<ShownBy> shown;
    while (true) {
      for (Index k = 0; k < 3; ++k) shown.push_back({static_cast<Index>(3 * part) + k, draw.in(0.9, 0.99)});
      if (part == 0) return shown;
      part = (part - 1) / 3;
    }
  };
  for (std::size_t i = 0; i < observations; ++i) {
    const std::size_t part = parts - 1 - (i * 7) % parts;
    if (i % 5 == 4) {  // looks at one part alone
      std::vector<ShownBy> shown;
      for (Index k = 0; k < 3; ++k) shown.push_back({static_cast<Index>(3 * part) + k, draw.in(0.6, 0.95)});
      add_check(model, fmt::format("inspect part {}", part), draw.in(1, 5), shown, 0.01);
      continue;
    }
    // Some readings see everything behind a group of branches: a bank's current, a bus.
    std::vector<ShownBy> shown = chain(part);
    if (i % 5 == 3) {
      for (std::size_t other = part > 40 ? part - 40 : 0; other < part; ++other) {
        const auto mode = static_cast<Index>(3 * other + i % 3);
        const bool there = std::any_of(shown.begin(), shown.end(), [&](const ShownBy& s) { return s.mode == mode; });
        if (!there) shown.push_back({mode, draw.in(0.5, 0.9)});
      }
    }
    add_check(model, fmt::format("reading {} at part {}", i, part), draw.in(0.2, 3), shown, i == 0 ? 0.0 : 0.02);
  }
  model.call_cost = 240;
  model.check_cost = 0.5;
  model.symptoms.push_back({0, 1});
  return model;
}

Case::Case(Model m, std::size_t states)
    : model(std::move(m)), likelihood(model), posterior(likelihood), space(likelihood, posterior.likeliest(states)) {}

}  // namespace ringout::find::testing
